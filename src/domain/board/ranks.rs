//! The ranks of the modules of a channel as one number.

/// How many modules have each number of ranks: four bits for each number.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ranks(u64);

impl Ranks {
    /// One module; `None` where there is no room for the number.
    pub fn one(ranks: u8) -> Option<Self> {
        (ranks < 16).then(|| Self(1 << (4 * ranks)))
    }

    /// Of several modules; `None` where there is no room for them.
    pub fn of(ranks: &[u8]) -> Option<Self> {
        if ranks.len() > 15 {
            return None;
        }
        let mut ranks = ranks.iter();
        ranks.try_fold(Self::default(), |sum, own| Some(sum.and(Self::one(*own)?)))
    }

    /// With those of another.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }

    /// The largest number of ranks of one module.
    pub const fn most(self) -> u8 {
        (63 - (self.0 | 1).leading_zeros()) as u8 / 4
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn they_tell_how_many_modules_have_how_many_ranks() {
        let ranks = Ranks::of(&[1, 4, 1]).expect("few ranks");
        assert_eq!(ranks, Ranks::of(&[4, 1, 1]).expect("few ranks"));
        assert_ne!(ranks, Ranks::of(&[4, 1]).expect("few ranks"));
        assert_ne!(ranks, Ranks::of(&[4, 4, 1]).expect("few ranks"));
        assert_eq!(ranks.most(), 4);
        assert_eq!(Ranks::of(&[0]).map(Ranks::most), Some(0));
        assert_eq!(Ranks::one(16), None);
    }
}
