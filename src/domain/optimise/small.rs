//! Short ways to read lists without a panic.

/// The entry at an index, or the default.
pub fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
    list.get(index).copied().unwrap_or_default()
}

/// Adds to an entry; nothing happens beyond the end.
pub fn add<T: Copy + std::ops::AddAssign>(list: &mut [T], index: usize, amount: T) {
    if let Some(entry) = list.get_mut(index) {
        *entry += amount;
    }
}

/// Takes from an entry; nothing happens beyond the end.
pub fn take<T: Copy + std::ops::SubAssign>(list: &mut [T], index: usize, amount: T) {
    if let Some(entry) = list.get_mut(index) {
        *entry -= amount;
    }
}
