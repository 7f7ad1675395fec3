//! Short ways to read lists without a panic, and to reckon without overflow.

use std::cmp::Ordering;

/// The entry at an index, or the default.
pub fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
    list.get(index).copied().unwrap_or_default()
}

/// Compares a·b with c·d, where b and d are not negative and the products may have no room.
pub fn compare_products(a: i128, b: i128, c: i128, d: i128) -> Ordering {
    match (a.checked_mul(b), c.checked_mul(d)) {
        (Some(one), Some(other)) => one.cmp(&other),
        _ => wide(a, b).cmp(&wide(c, d)),
    }
}

/// A product in two parts, which compare like it: b is below 2⁶³.
fn wide(a: i128, b: i128) -> (i128, i128) {
    let low = (a & i128::from(u64::MAX)) * b;
    let high = (a >> 64) * b + (low >> 64);
    (high, low & i128::from(u64::MAX))
}

/// a·b ÷ c rounded down, where b and c are not negative and below 2⁶³ and the product may have no
/// room.
pub fn share(a: i128, b: i128, c: i128) -> i128 {
    let c = c.max(1);
    // Mostly there is room in half as many bits, which divide in a tenth of the time.
    if let (Ok(a), Ok(b), Ok(c)) = (i64::try_from(a), i64::try_from(b), i64::try_from(c))
        && let Some(product) = a.checked_mul(b)
    {
        return i128::from(product.div_euclid(c));
    }
    a.div_euclid(c) * b + a.rem_euclid(c) * b / c
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_without_room_compare_like_those_with() {
        let large = 1i128 << 120;
        assert_eq!(
            compare_products(large, 1 << 40, large - 1, 1 << 40),
            Ordering::Greater
        );
        assert_eq!(
            compare_products(-large, 1 << 40, -large + 1, 1 << 40),
            Ordering::Less
        );
        assert_eq!(
            compare_products(large, 1 << 40, large / 2, 1 << 41),
            Ordering::Equal
        );
        assert_eq!(compare_products(-large, 1 << 40, 5, 3), Ordering::Less);
        assert_eq!(compare_products(7, 3, 4, 5), Ordering::Greater);
    }

    #[test]
    fn a_share_is_rounded_down() {
        assert_eq!(share(7, 3, 4), 5);
        assert_eq!(share(-7, 3, 4), -6);
        assert_eq!(share((1 << 120) + 1, 1 << 40, 1 << 41), 1 << 119);
    }
}
