//! Which rules of a channel may close a branch of a search early.
//!
//! A rule *lasts* if, once broken on a channel, it stays broken whatever modules are added there. A
//! rule is *free of order* if it says the same of a channel whichever positions its modules take.
//! Both are claims, listed here and held by a test on random boards; a rule that is not listed is
//! asked again for every stack.

/// Rules that stay broken when modules are added to the channel.
const LASTING: &[&str] = &[
    "rank-budget-exceeded",
    "too-many-of-kind",
    "channel-not-served",
    "kinds-mixed",
    "ecc-mixed",
    "stacks-mixed",
    "widths-mixed",
    "die-densities-mixed",
    "ecc-bits-mixed",
    "too-many-capacities",
    "ranks-mixed",
    "part-numbers-mixed",
    "product-lines-mixed",
];

/// Rules that say the same whichever positions the modules of a channel take.
const FREE_OF_ORDER: &[&str] = &[
    "rank-budget-exceeded",
    "too-many-of-kind",
    "channel-not-served",
    "kinds-mixed",
    "ecc-mixed",
    "stacks-mixed",
    "widths-mixed",
    "die-densities-mixed",
    "ecc-bits-mixed",
    "too-many-capacities",
    "ranks-mixed",
    "part-numbers-mixed",
    "product-lines-mixed",
    "protection-too-few-ranks",
];

/// Whether a rule that is broken on a channel stays broken when modules are added there.
pub fn lasts(id: &str) -> bool {
    LASTING.contains(&id)
}

/// Whether a rule says the same whichever positions the modules of a channel take.
pub fn is_free_of_order(id: &str) -> bool {
    FREE_OF_ORDER.contains(&id)
}
