//! A small linear program solver, for prices only: floating point proposes, integers decide.
//!
//! The primal simplex method on a dense tableau, in two phases. The programs have about twenty rows
//! and a few hundred columns.

/// A row.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    right: f64,
    equal: bool,
}

impl Row {
    /// Equal to.
    pub const fn equal(right: f64) -> Self {
        Self { right, equal: true }
    }

    /// At most.
    pub const fn at_most(right: f64) -> Self {
        Self {
            right,
            equal: false,
        }
    }
}

/// Minimise the cost of columns that are not negative.
#[derive(Debug, Default)]
pub struct Program {
    pub rows: Vec<Row>,
    costs: Vec<f64>,
    columns: Vec<Vec<f64>>,
}

/// What came out.
#[derive(Debug)]
pub struct Solved {
    /// Whether there is a solution; if not, the duals are those that show it.
    pub feasible: bool,
    /// Whether it was told to stop before it knew.
    pub cut: bool,
    /// By row.
    pub duals: Vec<f64>,
    /// By column.
    pub values_of: Vec<f64>,
    /// By row: the basic column.
    basis: Vec<usize>,
    values: Vec<f64>,
    firsts: Vec<usize>,
}

impl Solved {
    /// Whether the first column that a row of a sum of one has makes up that sum.
    pub fn slack_at_zero(&self, row: usize) -> bool {
        let first = self.firsts.get(row).copied().unwrap_or(usize::MAX);
        self.basis
            .iter()
            .zip(&self.values)
            .any(|(column, value)| *column == first && *value > 1.0 - 1e-9)
    }
}

const TINY: f64 = 1e-9;

/// The least share of the largest cost that still counts.
const FAINT: f64 = 1e-13;

impl Program {
    /// Adds a column with its cost.
    pub fn add(&mut self, cost: f64, column: Vec<f64>) {
        self.costs.push(cost);
        self.columns.push(column);
    }

    /// Solves it, unless told to stop.
    pub fn solve(&self, stop: &dyn Fn() -> bool) -> Solved {
        let mut tableau = Tableau::new(self);
        let real = self.columns.len() + self.rows.len();
        tableau.set_costs(|column| if column >= real { 1.0 } else { 0.0 });
        tableau.run(real, stop);
        let left = tableau.objective();
        let feasible = left < 1e-7 * tableau.size;
        if feasible {
            tableau.drive_out(real);
            tableau.set_costs(|column| {
                if column >= real {
                    0.0
                } else {
                    self.costs.get(column).copied().unwrap_or(0.0)
                }
            });
            tableau.run(real, stop);
        }
        let duals = tableau.duals(self, if feasible { 0.0 } else { 1.0 });
        let firsts = (0..self.rows.len()).map(|row| {
            let holds = |column: &Vec<f64>| column.get(row).is_some_and(|v| *v != 0.0);
            self.columns.iter().position(holds).unwrap_or(usize::MAX)
        });
        let mut values_of = vec![0.0; self.columns.len()];
        for (column, row) in tableau.basis.iter().zip(&tableau.rows) {
            if let Some(value) = values_of.get_mut(*column) {
                *value = row.right;
            }
        }
        Solved {
            feasible,
            cut: tableau.cut,
            values_of,
            duals,
            values: tableau.rows.iter().map(|row| row.right).collect(),
            basis: tableau.basis,
            firsts: firsts.collect(),
        }
    }
}

struct Line {
    left: Vec<f64>,
    right: f64,
}

struct Tableau {
    rows: Vec<Line>,
    basis: Vec<usize>,
    /// Reduced costs, and less the objective.
    costs: Line,
    /// Whether a row was turned around.
    turned: Vec<bool>,
    slacks: usize,
    size: f64,
    cut: bool,
    /// What rows and columns were divided by.
    scales: Vec<f64>,
}

impl Tableau {
    /// Columns, then a slack for each row, then an artificial one for each row.
    fn new(program: &Program) -> Self {
        let (count, height) = (program.columns.len(), program.rows.len());
        let mut tableau = Self {
            rows: Vec::with_capacity(height),
            basis: Vec::with_capacity(height),
            costs: Line {
                left: vec![0.0; count + 2 * height],
                right: 0.0,
            },
            turned: Vec::with_capacity(height),
            slacks: count,
            size: 1.0,
            cut: false,
            scales: Vec::with_capacity(height),
        };
        for (index, row) in program.rows.iter().enumerate() {
            let own = program
                .columns
                .iter()
                .map(|column| column.get(index).copied().unwrap_or(0.0));
            let own: Vec<f64> = own.collect();
            let largest = own.iter().fold(0.0f64, |most, value| most.max(value.abs()));
            let scale = if largest > 0.0 { largest } else { 1.0 };
            let turn = row.right < 0.0;
            let sign = if turn { -1.0 } else { 1.0 } / scale;
            let mut left: Vec<f64> = own.iter().map(|value| value * sign).collect();
            left.resize(count + 2 * height, 0.0);
            let put = |left: &mut Vec<f64>, at: usize, value: f64| {
                if let Some(entry) = left.get_mut(at) {
                    *entry = value;
                }
            };
            if !row.equal {
                put(&mut left, count + index, if turn { -1.0 } else { 1.0 });
            }
            put(&mut left, count + height + index, 1.0);
            let slack_starts = !row.equal && !turn;
            tableau.basis.push(if slack_starts {
                count + index
            } else {
                count + height + index
            });
            tableau.turned.push(turn);
            tableau.scales.push(scale);
            let right = row.right * sign;
            tableau.size = tableau.size.max(right);
            tableau.rows.push(Line { left, right });
        }
        tableau
    }

    fn set_costs(&mut self, cost: impl Fn(usize) -> f64) {
        for (column, entry) in self.costs.left.iter_mut().enumerate() {
            *entry = cost(column);
        }
        self.costs.right = 0.0;
        for (row, basic) in self.rows.iter().zip(&self.basis) {
            let own = cost(*basic);
            if own != 0.0 {
                subtract(&mut self.costs, row, own);
            }
        }
    }

    fn objective(&self) -> f64 {
        -self.costs.right
    }

    /// Improves until nothing does, among the first columns.
    fn run(&mut self, real: usize, stop: &dyn Fn() -> bool) {
        let size = self
            .costs
            .left
            .iter()
            .take(real)
            .fold(0.0f64, |most, cost| most.max(cost.abs()));
        // Weights of an order of preference lie far apart: what counts least must still be seen.
        let tolerance = FAINT * size.max(TINY);
        for turn in 0..400 {
            // Small programs are done before a clock is worth asking.
            if self.rows.len() > 60 && stop() {
                self.cut = true;
                return;
            }
            let candidates = self.costs.left.iter().take(real).enumerate();
            let mut falling = candidates.filter(|(_, cost)| **cost < -tolerance);
            // Late in a long run the first one, which can't go round in circles.
            let entering = if turn < 200 {
                falling.min_by(|a, b| a.1.total_cmp(b.1))
            } else {
                falling.next()
            };
            let Some((entering, _)) = entering else {
                return;
            };
            let mut leaving: Option<(usize, f64)> = None;
            for (index, row) in self.rows.iter().enumerate() {
                let own = row.left.get(entering).copied().unwrap_or(0.0);
                if own > TINY {
                    let ratio = row.right / own;
                    let smaller = leaving.is_none_or(|(at, best)| {
                        ratio < best - 1e-12
                            || (ratio <= best + 1e-12 && self.basis.get(index) < self.basis.get(at))
                    });
                    if smaller {
                        leaving = Some((index, ratio));
                    }
                }
            }
            let Some((leaving, _)) = leaving else { return };
            self.pivot(leaving, entering);
        }
    }

    /// Takes artificial columns that are left at nothing out of the basis: with no cost of their own
    /// they could grow again, and hide that a row is broken.
    fn drive_out(&mut self, real: usize) {
        for index in 0..self.rows.len() {
            if self.basis.get(index).is_none_or(|column| *column < real) {
                continue;
            }
            let Some(row) = self.rows.get_mut(index) else {
                continue;
            };
            let entries = row.left.iter().take(real).enumerate();
            let largest = entries.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
            match largest.map(|(column, value)| (column, *value)) {
                Some((column, value)) if value.abs() > TINY => {
                    row.right = 0.0;
                    self.pivot(index, column);
                }
                // The row says nothing that others don't.
                _ => {
                    row.left
                        .iter_mut()
                        .take(real)
                        .for_each(|value| *value = 0.0);
                    row.right = 0.0;
                }
            }
        }
    }

    fn pivot(&mut self, leaving: usize, entering: usize) {
        let Some(row) = self.rows.get_mut(leaving) else {
            return;
        };
        let own = row.left.get(entering).copied().unwrap_or(1.0);
        row.left.iter_mut().for_each(|value| *value /= own);
        row.right /= own;
        let pivot = Line {
            left: std::mem::take(&mut row.left),
            right: row.right,
        };
        let others = self.rows.iter_mut().enumerate();
        for (_, other) in others.filter(|(index, _)| *index != leaving) {
            let factor = other.left.get(entering).copied().unwrap_or(0.0);
            if factor != 0.0 {
                subtract(other, &pivot, factor);
            }
        }
        let factor = self.costs.left.get(entering).copied().unwrap_or(0.0);
        subtract(&mut self.costs, &pivot, factor);
        if let Some(row) = self.rows.get_mut(leaving) {
            row.left = pivot.left;
        }
        if let Some(basic) = self.basis.get_mut(leaving) {
            *basic = entering;
        }
    }

    /// The dual of each row: what its artificial column costs in this phase, less its reduced cost.
    fn duals(&self, program: &Program, artificial_cost: f64) -> Vec<f64> {
        let height = program.rows.len();
        (0..height)
            .map(|row| {
                let scale = self.scales.get(row).copied().unwrap_or(1.0);
                let sign = if self.turned.get(row) == Some(&true) {
                    -1.0
                } else {
                    1.0
                };
                // The slack costs nothing, so its reduced cost shows the dual in either phase.
                let equal = program.rows.get(row).is_some_and(|row| row.equal);
                let slack = self
                    .costs
                    .left
                    .get(self.slacks + row)
                    .copied()
                    .unwrap_or(0.0);
                let artificial = self.costs.left.get(self.slacks + height + row);
                let artificial = artificial.copied().unwrap_or(0.0);
                if equal {
                    (artificial_cost - artificial) * sign / scale
                } else {
                    -slack / scale
                }
            })
            .collect()
    }
}

/// Takes a multiple of a row from another.
fn subtract(from: &mut Line, row: &Line, factor: f64) {
    for (entry, value) in from.left.iter_mut().zip(&row.left) {
        *entry -= factor * value;
    }
    from.right -= factor * row.right;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_that_holds_from_the_start_is_not_lost_later() {
        // Most of x and y where -x - y = 0 and x is at most 5: nothing of both. The artificial column
        // of the first row stays in the basis, since no column makes it smaller.
        let mut program = Program::default();
        program.rows.push(Row::equal(0.0));
        program.rows.push(Row::at_most(5.0));
        program.add(-1.0, vec![-1.0, 1.0]);
        program.add(-1.0, vec![-1.0, 0.0]);
        let solved = program.solve(&|| false);
        assert!(solved.feasible && !solved.cut);
        assert_eq!(solved.values_of, [0.0, 0.0]);
    }

    #[test]
    fn a_program_without_a_solution_is_known_as_one() {
        let mut program = Program::default();
        program.rows.push(Row::at_most(-3.0));
        program.rows.push(Row::at_most(2.0));
        program.add(1.0, vec![-1.0, 1.0]);
        assert!(!program.solve(&|| false).feasible);
    }
}
