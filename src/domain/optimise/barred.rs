//! What no choice of modules can mend: rules that the board, its processors and the protection break by
//! themselves. They are asked before any search.

use super::super::rules::{Battery, RuleSet};
use super::super::setup::Setup;
use super::model::Task;
use super::scene;

/// The rules that are broken whatever modules there are, with any processor model that may be fitted.
pub fn blamed(setups: &[Setup<'_>], battery: &Battery) -> RuleSet {
    let mut blamed = RuleSet::none();
    for setup in setups {
        battery.whatever_modules(setup, &mut blamed);
    }
    blamed
}

/// The same for a task.
pub fn broken(task: &Task<'_>) -> RuleSet {
    let bare = scene::bare(task);
    let setups = scene::setups(task, &bare, &scene::models(task));
    blamed(&setups, &Battery::new(task.board, &task.ignored))
}
