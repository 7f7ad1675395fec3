//! A value that may be unknown, together with how sure it is.

/// How a fact came to be known, from the least to the most certain.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Not known: there is no value.
    #[default]
    Unknown,
    /// A usual value, a corrected misreading, or a value from bytes whose checksum is wrong.
    Assumed,
    /// Computed from facts that were read.
    Derived,
    /// Stands in the input.
    Read,
}

impl Standing {
    /// The stable name: `unknown`, `assumed`, `derived` or `read`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Unknown => "unknown",
            Self::Assumed => "assumed",
            Self::Derived => "derived",
            Self::Read => "read",
        }
    }
}

/// A value with its standing. There is a value exactly when the standing is not `Unknown`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fact<T> {
    value: Option<T>,
    standing: Standing,
}

impl<T> Default for Fact<T> {
    fn default() -> Self {
        Self::unknown()
    }
}

impl<T> Fact<T> {
    /// A fact that is not known.
    pub const fn unknown() -> Self {
        Self {
            value: None,
            standing: Standing::Unknown,
        }
    }

    /// A fact that stands in the input.
    pub const fn read(value: T) -> Self {
        Self {
            value: Some(value),
            standing: Standing::Read,
        }
    }

    /// A fact computed from others that were read.
    pub const fn derived(value: T) -> Self {
        Self {
            value: Some(value),
            standing: Standing::Derived,
        }
    }

    /// A fact that is likely, but was not read.
    pub const fn assumed(value: T) -> Self {
        Self {
            value: Some(value),
            standing: Standing::Assumed,
        }
    }

    /// A value of this standing; unknown when there is no value or the standing says so.
    pub fn of(value: Option<T>, standing: Standing) -> Self {
        match value {
            Some(_) if standing != Standing::Unknown => Self { value, standing },
            _ => Self::unknown(),
        }
    }

    /// A value computed from facts of these standings: derived, or assumed when one of them is, or
    /// unknown when one of them is.
    pub fn computed(value: Option<T>, inputs: &[Standing]) -> Self {
        let weakest = inputs.iter().copied().min().unwrap_or(Standing::Derived);
        Self::of(value, weakest.min(Standing::Derived))
    }

    /// The value, if known.
    pub const fn value(&self) -> Option<&T> {
        self.value.as_ref()
    }

    /// How sure the value is.
    pub const fn standing(&self) -> Standing {
        self.standing
    }

    /// Whether there is a value.
    pub const fn is_known(&self) -> bool {
        self.value.is_some()
    }

    /// The same value, no surer than `most`.
    pub fn at_most(self, most: Standing) -> Self {
        Self::of(self.value, self.standing.min(most))
    }

    /// Another value computed from this one alone.
    pub fn derive<U>(&self, compute: impl FnOnce(&T) -> Option<U>) -> Fact<U> {
        Fact::computed(self.value().and_then(compute), &[self.standing])
    }
}

impl<T: Copy> Fact<T> {
    /// A copy of the value, if known.
    pub const fn get(&self) -> Option<T> {
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_computed_fact_is_no_surer_than_its_weakest_input() {
        assert_eq!(
            Fact::computed(Some(1), &[Standing::Read, Standing::Read]).standing(),
            Standing::Derived
        );
        assert_eq!(
            Fact::computed(Some(1), &[Standing::Read, Standing::Assumed]).standing(),
            Standing::Assumed
        );
        assert_eq!(
            Fact::computed(Some(1), &[Standing::Unknown]),
            Fact::unknown()
        );
        assert_eq!(
            Fact::<u8>::computed(None, &[Standing::Read]),
            Fact::unknown()
        );
    }
}
