//! Which processor models of a board's record a report shows.

use crate::domain::board::{Board, Processor};
use crate::read::inventory::Inventory;
use crate::read::inventory::on_board::{fitted_sockets, processors_by_socket};
use crate::read::inventory::record::Processor as ReportedProcessor;

/// The model of each socket, by index among the board's; nothing where a name is none of the record's,
/// or may be several.
pub fn models(inventory: &Inventory, board: &Board) -> Vec<Option<usize>> {
    let sorted = processors_by_socket(inventory, board).unwrap_or_default();
    let model = |own: &&ReportedProcessor| own.model.value().and_then(|text| model_of(text, board));
    sorted.iter().map(model).collect()
}

/// Whether each socket holds a processor that firmware has not switched off.
pub fn working(inventory: &Inventory, board: &Board) -> Option<Vec<bool>> {
    let fitted = fitted_sockets(inventory, board)?;
    let sorted = processors_by_socket(inventory, board)?;
    let works =
        |(own, fitted): (&&ReportedProcessor, bool)| fitted && own.enabled.value() != Some(&false);
    Some(sorted.iter().zip(fitted).map(works).collect())
}

/// The only model whose name or id stands in a text; of two names of which one begins the other, the
/// longer.
fn model_of(text: &str, board: &Board) -> Option<usize> {
    let text = words(text);
    let length = |known: &Processor| {
        let stands = |name: &Vec<String>| {
            let mut windows = text.windows(name.len().max(1));
            windows.any(|own| own == name.as_slice())
        };
        // What stands in brackets is a remark of the record.
        let bare = known.name.split('(').next().unwrap_or_default();
        let names = [words(bare), words(&known.id)];
        let names = names.iter().filter(|own| is_telling(own) && stands(own));
        names.map(Vec::len).max()
    };
    let lengths: Vec<Option<usize>> = board.processors.iter().map(length).collect();
    let longest = lengths.iter().copied().max().flatten()?;
    let mut fitting = (0..lengths.len()).filter(|own| lengths.get(*own) == Some(&Some(longest)));
    let first = fitting.next();
    first.filter(|_| fitting.next().is_none())
}

/// Whether a name is long enough that it does not stand in a text by chance.
fn is_telling(name: &[String]) -> bool {
    let numbered = |word: &String| word.len() > 2 && word.contains(|c: char| c.is_ascii_digit());
    name.len() > 1 || name.iter().any(numbered)
}

/// Its words in lower case.
fn words(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_ascii_alphanumeric());
    let words = words.filter(|word| !word.is_empty());
    words.map(str::to_ascii_lowercase).collect()
}
