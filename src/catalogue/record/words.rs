//! Words of a record: the trade's names as they are written in JSON, each with its place in the domain.
//!
//! Conversions go both ways with exhaustive matches, so a word that the domain gains does not
//! compile until a record can say it.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

use super::value::{Named, Part, Words, add, reference};
use crate::domain::board::policy::{
    Identity, Mix, Protection, RankInterleave, Scope, UnequalGroups,
};
use crate::domain::board::rates::{RankMeasure, StackMatch, Unlisted};
use crate::domain::board::{EccNeed, KeySide};
use crate::domain::finding::Severity;
use crate::domain::module::{Generation, HeightClass, Kind, Width};

macro_rules! domain_words {
    ($(#[$doc:meta])* $name:ident for $domain:ident, e.g. $example:tt { $($text:tt => $variant:ident),* $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
        #[schema(example = $example)]
        #[allow(missing_docs, reason = "the doc of the type describes its words")]
        pub enum $name {
            $(#[serde(rename = $text)] $variant),*
        }

        impl From<$name> for $domain {
            fn from(word: $name) -> Self {
                match word {
                    $($name::$variant => Self::$variant),*
                }
            }
        }

        impl From<$domain> for $name {
            fn from(value: $domain) -> Self {
                match value {
                    $($domain::$variant => Self::$variant),*
                }
            }
        }

        impl Words for $name {
            const LIST: &'static [&'static str] = &[$($text),*];
            const LABEL: &'static str = stringify!($name);

            fn of(text: &str) -> Option<Self> {
                match text {
                    $($text => Some(Self::$variant),)*
                    _ => None,
                }
            }
        }

        impl Part for $name {
            fn label() -> String {
                Self::LABEL.to_owned()
            }

            fn place() -> RefOr<Schema> {
                reference::<Self>()
            }

            fn sample() -> Value {
                json!($example)
            }

            fn needs(named: &mut Named) {
                add::<Self>(named);
            }
        }
    };
}

domain_words! {
    /// The DDR generation.
    GenerationName for Generation, e.g. "DDR4" {
        "DDR3" => Ddr3, "DDR4" => Ddr4, "DDR5" => Ddr5,
    }
}
domain_words! {
    /// The kind of module: what stands between its devices and the channel, and whether it has ECC.
    KindName for Kind, e.g. "RDIMM" {
        "UDIMM" => Udimm, "ECC UDIMM" => EccUdimm, "SO-DIMM" => SoDimm, "ECC SO-DIMM" => EccSoDimm,
        "CUDIMM" => Cudimm, "ECC CUDIMM" => EccCudimm, "RDIMM" => Rdimm, "LRDIMM" => Lrdimm,
        "MRDIMM" => Mrdimm, "NVDIMM-N" => NvdimmN,
    }
}
domain_words! {
    /// The data width of one memory device.
    WidthName for Width, e.g. "x4" { "x4" => X4, "x8" => X8, "x16" => X16 }
}
domain_words! {
    /// The height class: `VLP` very low profile (18.75 mm), `LP` low profile (30 mm to 31.25 mm), or
    /// `tall`.
    HeightName for HeightClass, e.g. "LP" { "VLP" => VeryLow, "LP" => Low, "tall" => Tall }
}
domain_words! {
    /// The end of the slot, as drawn, that the key is nearer to.
    KeyEnd for KeySide, e.g. "top" { "top" => Top, "bottom" => Bottom, "left" => Left, "right" => Right }
}
domain_words! {
    /// Whether modules must have ECC: `required`, `either`, or `refused` (a module with ECC does not
    /// start).
    EccNeeded for EccNeed, e.g. "required" { "required" => Required, "either" => Either, "refused" => Refused }
}
domain_words! {
    /// How far something reaches; `node` is the part of a processor that holds one memory
    /// controller.
    Reach for Scope, e.g. "socket" { "channel" => Channel, "node" => Node, "socket" => Socket, "board" => Board }
}
domain_words! {
    /// Whether a mix is `allowed`, `discouraged` (it runs, the maker advises against it), `forbidden`
    /// or `unknown` to the author of the record.
    MixName for Mix, e.g. "forbidden" {
        "allowed" => Allowed, "discouraged" => Discouraged, "forbidden" => Forbidden, "unknown" => Unknown,
    }
}
domain_words! {
    /// How memory is protected: `none` beyond the correction of each word, `mirrored` (each group
    /// holds everything twice), `rank_spare` (a rank of each channel is held back), or `lockstep` (the
    /// channels of a group work in step).
    OfferedProtection for Protection, e.g. "mirrored" {
        "none" => None, "mirrored" => Mirrored, "rank_spare" => RankSpare, "lockstep" => Lockstep,
    }
}
domain_words! {
    /// When the ranks of one channel interleave: with `equal_ranks`, when all are of one size and
    /// their number is a power of two.
    RankInterleaveName for RankInterleave, e.g. "equal_ranks" { "equal_ranks" => EqualRanks }
}
domain_words! {
    /// What becomes of a group whose channels are not filled alike: `refused` (the protection can't be
    /// set), or `lost` (the group's memory is left out, as long as another group holds some).
    UnequalGroupsName for UnequalGroups, e.g. "refused" { "refused" => Refused, "lost" => Lost }
}
domain_words! {
    /// What the channels of a group must have in common, position by position.
    IdentityName for Identity, e.g. "capacity" {
        "capacity" => Capacity, "ranks" => Ranks, "width" => Width, "kind" => Kind, "part_number" => PartNumber,
    }
}
domain_words! {
    /// Whether a row is for `flat` modules, `stacked` ones (3DS) or `any`.
    StackName for StackMatch, e.g. "any" { "any" => Any, "flat" => Flat, "stacked" => Stacked }
}
domain_words! {
    /// Which ranks are counted: `package` ranks, `logical` ranks (package ranks times stack height),
    /// or ranks as `seen` by the channel's budget.
    RankMeasureName for RankMeasure, e.g. "package" { "package" => Package, "logical" => Logical, "seen" => Seen }
}
domain_words! {
    /// What it means that no rate is listed: the population is `unsupported`, or its rate is
    /// `unknown` because the list is incomplete.
    UnlistedRate for Unlisted, e.g. "unsupported" { "unsupported" => Unsupported, "unknown" => Unknown }
}
domain_words! {
    /// How serious a finding is: `blocker` (will not start, is unsupported, or harms), `warning` (works,
    /// but worse than expected), `advice` (a better way exists at no loss), or `note`.
    SeverityName for Severity, e.g. "warning" {
        "blocker" => Blocker, "warning" => Warning, "advice" => Advice, "note" => Note,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_are_the_trade_s_names_in_the_domain() {
        for generation in Generation::ALL {
            assert_eq!(
                GenerationName::of(generation.name()).map(Generation::from),
                Some(generation)
            );
        }
        for kind in Kind::ALL {
            assert_eq!(KindName::of(kind.name()).map(Kind::from), Some(kind));
        }
        for width in Width::ALL {
            assert_eq!(WidthName::of(width.name()).map(Width::from), Some(width));
        }
        for height in HeightClass::ALL {
            assert_eq!(
                HeightName::of(height.name()).map(HeightClass::from),
                Some(height)
            );
        }
    }
}
