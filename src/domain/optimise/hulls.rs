//! Lower hulls: what so much usable capacity costs at least, when any mixture of points may be taken.
//!
//! A hull is a list of points (usable capacity, cost) by rising capacity, with rising slopes.

use super::small::{compare_products, share};
use std::cmp::Ordering;

/// A hull with its lowest point.
#[derive(Clone, Debug, Default)]
pub struct Hull {
    points: Vec<(i128, i128)>,
    lowest: usize,
}

impl Hull {
    /// Of the points of a hull.
    pub fn of(points: Vec<(i128, i128)>) -> Self {
        let lowest = points.iter().enumerate().min_by_key(|(_, (_, cost))| *cost);
        let lowest = lowest.map_or(0, |(index, _)| index);
        Self { points, lowest }
    }

    /// Its points.
    pub fn points(&self) -> &[(i128, i128)] {
        &self.points
    }

    /// The least usable capacity.
    pub fn least(&self) -> Option<i128> {
        self.points.first().map(|(usable, _)| *usable)
    }
}

/// The points that no others lie below, by rising usable capacity.
pub fn lower_hull(mut points: Vec<(i128, i128)>) -> Vec<(i128, i128)> {
    points.sort_unstable();
    let mut hull: Vec<(i128, i128)> = Vec::new();
    for point in points {
        if hull.last().is_some_and(|last| last.0 == point.0) {
            continue;
        }
        while let [.., a, b] = hull.as_slice() {
            let turn = compare_products(b.1 - a.1, point.0 - a.0, point.1 - a.1, b.0 - a.0);
            if turn.is_lt() {
                break;
            }
            hull.pop();
        }
        hull.push(point);
    }
    hull
}

/// The hull of one point of each of two hulls together: their steps in rising slope.
pub fn sum(one: &[(i128, i128)], other: &[(i128, i128)]) -> Vec<(i128, i128)> {
    let (Some(a), Some(b)) = (one.first(), other.first()) else {
        return Vec::new();
    };
    let mut all = steps(one);
    all.extend(steps(other));
    all.sort_by(by_slope);
    let mut at = (a.0 + b.0, a.1 + b.1);
    let mut hull = vec![at];
    for (run, rise) in all {
        at = (at.0 + run, at.1 + rise);
        hull.push(at);
    }
    hull
}

fn steps(hull: &[(i128, i128)]) -> Vec<(i128, i128)> {
    let pairs = hull.iter().zip(hull.iter().skip(1));
    pairs.map(|(a, b)| (b.0 - a.0, b.1 - a.1)).collect()
}

fn by_slope(one: &(i128, i128), other: &(i128, i128)) -> Ordering {
    compare_products(one.1, other.0, other.1, one.0)
}

/// The least cost of some units of one hull and a point of another that together bring at least and
/// at most so much; `None` if they can't.
pub fn cheapest(hull: &Hull, units: i128, rest: &Hull, need: i128, most: i128) -> Option<i128> {
    let end =
        |at: Option<&(i128, i128)>, other: Option<&(i128, i128)>| Some(at?.0 * units + other?.0);
    let (first, last) = (hull.points.first(), hull.points.last());
    if end(last, rest.points.last())? < need || end(first, rest.points.first())? > most {
        return None;
    }
    let mut own = Slope::at_lowest(hull, units)?;
    let mut others = Slope::at_lowest(rest, 1)?;
    let (usable, mut cost) = (own.usable + others.usable, own.cost + others.cost);
    // From the lowest point up to what is needed, or down to what is allowed, the flattest step first.
    let up = usable < need;
    let mut missing = if up { need - usable } else { usable - most };
    while missing > 0 {
        let (one, other) = (own.next(up), others.next(up));
        let (slope, (run, rise)) = match (one, other) {
            (Some(a), Some(b)) if by_slope(&a, &b).is_gt() => (&mut others, b),
            (Some(a), _) => (&mut own, a),
            (None, Some(b)) => (&mut others, b),
            (None, None) => break,
        };
        slope.go(up);
        let part = run.min(missing);
        cost += if part == run {
            rise
        } else {
            share(rise, part, run)
        };
        missing -= part;
    }
    Some(cost)
}

/// A place on a hull of some units.
struct Slope<'h> {
    hull: &'h [(i128, i128)],
    units: i128,
    index: usize,
    usable: i128,
    cost: i128,
}

impl<'h> Slope<'h> {
    fn at_lowest(hull: &'h Hull, units: i128) -> Option<Self> {
        let (usable, cost) = hull.points.get(hull.lowest)?;
        Some(Self {
            hull: &hull.points,
            units,
            index: hull.lowest,
            usable: usable * units,
            cost: cost * units,
        })
    }

    /// The next step away from the lowest point, as (how far, how much dearer), both not negative.
    fn next(&self, up: bool) -> Option<(i128, i128)> {
        let (from, to) = if up {
            (self.hull.get(self.index)?, self.hull.get(self.index + 1)?)
        } else {
            let before = self.index.checked_sub(1)?;
            (self.hull.get(self.index)?, self.hull.get(before)?)
        };
        Some((
            (to.0 - from.0).abs() * self.units,
            (to.1 - from.1) * self.units,
        ))
    }

    fn go(&mut self, up: bool) {
        self.index = if up {
            self.index + 1
        } else {
            self.index.saturating_sub(1)
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every pair of a point of one list, so many times, and one of another.
    fn by_trying(
        one: &[(i128, i128)],
        units: usize,
        other: &[(i128, i128)],
        need: i128,
        most: i128,
    ) -> Option<i128> {
        let mut sums = other.to_vec();
        for _ in 0..units {
            sums = sums
                .iter()
                .flat_map(|a| one.iter().map(|b| (a.0 + b.0, a.1 + b.1)))
                .collect();
        }
        let fits = sums
            .into_iter()
            .filter(|(usable, _)| (need..=most).contains(usable));
        fits.map(|(_, cost)| cost).min()
    }

    #[test]
    fn no_choice_of_points_costs_less_than_the_hulls_say() {
        let lists: [&[(i128, i128)]; 4] = [
            &[(0, 0), (4, 3), (8, 9), (16, 40)],
            &[(0, 12), (2, 3), (8, 0), (16, 5)],
            &[(0, 0)],
            &[(4, 7), (8, 7), (12, 30)],
        ];
        let mut seen = 0;
        for one in lists {
            for other in lists {
                let hull = |list: &[(i128, i128)]| Hull::of(lower_hull(list.to_vec()));
                let (hull, rest) = (hull(one), hull(other));
                for need in 0..60 {
                    for most in [need, need + 3, 1000] {
                        let true_least = by_trying(one, 3, other, need, most);
                        let told = cheapest(&hull, 3, &rest, need, most);
                        let Some(least) = true_least else { continue };
                        assert!(
                            told.is_some_and(|told| told <= least),
                            "{one:?} {other:?} {need} {most}"
                        );
                        seen += u32::from(told == Some(least));
                    }
                }
            }
        }
        assert!(seen > 400, "{seen}");
    }

    #[test]
    fn a_sum_of_hulls_is_the_hull_of_sums() {
        let (one, other) = ([(0, 0), (4, 3), (8, 9)], [(0, 2), (8, 4), (10, 30)]);
        let sums = one
            .iter()
            .flat_map(|a: &(i128, i128)| other.iter().map(move |b| (a.0 + b.0, a.1 + b.1)));
        let mut told = sum(&one, &other);
        told = lower_hull(told);
        assert_eq!(told, lower_hull(sums.collect()));
    }
}
