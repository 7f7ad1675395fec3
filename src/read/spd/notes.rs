//! Every kind of note that the SPD reader can give.

use crate::read::note::kinds;

kinds! {
    // The dump.
    NOT_A_DUMP Fault "spd-not-a-dump" []
        "The text is neither a hexadecimal dump nor base64.";
    UNREADABLE Fault "spd-byte-unreadable" ["byte"]
        "Byte { $byte } was not read from the module; nothing after it is used.";
    TOO_LONG Caution "spd-too-long" ["bytes"]
        "The dump is longer than any SPD device; only its first { $bytes } bytes were used.";

    // The whole image.
    EMPTY Fault "spd-empty" []
        "Every byte is the same: the SPD device is empty or was not read.";
    TOO_SHORT Fault "spd-too-short" ["bytes", "needed"]
        "The image has only { $bytes } bytes; { $needed } are needed to tell the module.";
    CUT_SHORT Remark "spd-cut-short" ["bytes", "whole"]
        "The image has { $bytes } of { $whole } bytes; what stands in the rest is not known.";
    SWAPPED Caution "spd-bytes-swapped" []
        "The bytes of each pair were swapped in the dump; they were put back in order.";
    HEADER_SKIPPED Caution "spd-header-skipped" ["bytes"]
        "{ $bytes } bytes before the image were skipped.";
    TYPE_UNKNOWN Fault "spd-type-unknown" ["found"]
        "The memory type { $found } in byte 2 is none that is known.";
    TYPE_NOT_COVERED Fault "spd-type-not-covered" ["found"]
        "The image is of { $found }, which is not covered; DDR3, DDR4 and DDR5 are.";

    // Checksums.
    CRC_WRONG Fault "spd-crc-wrong" ["first", "last", "stored", "computed"]
        "The checksum of bytes { $first } to { $last } is wrong: { $stored } is stored, { $computed } is right. What stands there is assumed, not known.";
    CRC_NOT_CHECKED Caution "spd-crc-not-checked" ["first", "last"]
        "The checksum of bytes { $first } to { $last } could not be checked, since the image ends before it.";

    // Single fields.
    CODE_UNKNOWN Caution "spd-code-unknown" ["byte", "found", "field"]
        "Byte { $byte } holds the code { $found } for `{ $field }`, which the standard does not define.";
    TIME_BASE_UNKNOWN Fault "spd-time-base-unknown" ["byte", "found"]
        "Byte { $byte } holds { $found }, with which times cannot be told.";
    RATE_NOT_STANDARD Caution "spd-rate-not-standard" ["rate", "generation"]
        "The rate { $rate } is none of { $generation }'s standard ones.";
    RATE_NOT_TOLD Caution "spd-rate-not-told" []
        "The rate of a multiplexed-rank module does not follow from its SPD image.";
    NO_CAS_LATENCY Caution "spd-no-cas-latency" ["rate"]
        "No CAS latency that the module supports is long enough at { $rate }.";
    ASYMMETRIC Caution "spd-ranks-asymmetric" []
        "The ranks differ from each other; the capacity is not told by the first rank alone.";
    PACKAGE_NOT_TOLD Caution "spd-package-not-told" []
        "The dies are stacked, but the image does not tell whether they share a chip select.";
    HYBRID Caution "spd-hybrid" []
        "The module holds storage beside its DRAM; only the DRAM is told.";
    HEIGHT_OVER Remark "spd-height-over" ["limit"]
        "The module is higher than { $limit } mm; by how much is not told.";
    PARITY Remark "spd-maker-parity" ["byte", "found"]
        "The maker's code { $found } in byte { $byte } has wrong parity bits.";
    DATE_NOT_DECIMAL Remark "spd-date-not-decimal" ["found"]
        "The date of manufacture { $found } is not in decimal digits.";
    TEXT_NOT_PRINTABLE Remark "spd-text-not-printable" ["byte"]
        "The text from byte { $byte } on holds characters that cannot be printed; they are left out.";
}
