//! Lists of slots, channels and sockets, short enough to read.

use crate::domain::board::{Board, ChannelIx, SlotIx};
use crate::domain::finding::Finding;
use fluent_bundle::FluentArgs;

use super::words::Words;

/// `a, b and c`.
pub fn joined(items: &[String], words: &Words) -> String {
    with_last("list-and", items, words)
}

/// `a, b or c`.
pub fn one_of(items: &[String], words: &Words) -> String {
    with_last("list-or", items, words)
}

fn with_last(id: &str, items: &[String], words: &Words) -> String {
    match items {
        [] => String::new(),
        [only] => only.clone(),
        [head @ .., last] => {
            let mut args = FluentArgs::new();
            args.set("first", head.join(", "));
            args.set("last", last.clone());
            words.say(id, &args)
        }
    }
}

/// `1 to 4, 6 and 8`: runs of three or more are drawn together.
pub fn numbers(sorted: &[u8], words: &Words) -> String {
    let mut runs: Vec<(u8, u8)> = Vec::new();
    for number in sorted {
        match runs.last_mut() {
            Some((_, last)) if last.checked_add(1) == Some(*number) => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let mut items = Vec::new();
    for (first, last) in runs {
        if last - first >= 2 {
            let mut args = FluentArgs::new();
            args.set("first", first.to_string());
            args.set("last", last.to_string());
            items.push(words.say("list-range", &args));
        } else {
            items.extend((first..=last).map(|number| number.to_string()));
        }
    }
    joined(&items, words)
}

fn counted(id: &str, count: usize, list: String, words: &Words) -> String {
    let mut args = FluentArgs::new();
    args.set("count", count);
    args.set("list", list);
    words.say(id, &args)
}

/// `slots A1, A2 and B1`.
pub fn slots(slots: &[SlotIx], words: &Words, board: &Board) -> String {
    let labels: Vec<String> = slots
        .iter()
        .map(|slot| board.label(*slot).to_owned())
        .collect();
    counted("slots", labels.len(), joined(&labels, words), words)
}

/// `sockets 1 and 2`.
pub fn sockets(sockets: &[u8], words: &Words) -> String {
    counted("sockets", sockets.len(), numbers(sockets, words), words)
}

/// `channels 1 to 4 of sockets 1 and 2`: sockets with the same channels are drawn together.
pub fn channels(channels: &[ChannelIx], words: &Words, board: &Board) -> String {
    let mut groups: Vec<(Vec<u8>, Vec<u8>)> = Vec::new();
    for socket in 1..=board.sockets {
        let own: Vec<u8> = channels
            .iter()
            .map(|c| board.address(*c))
            .filter(|(s, _)| *s == socket)
            .map(|(_, c)| c)
            .collect();
        if own.is_empty() {
            continue;
        }
        match groups.iter_mut().find(|(list, _)| *list == own) {
            Some((_, sockets)) => sockets.push(socket),
            None => groups.push((own, vec![socket])),
        }
    }
    let items: Vec<String> = groups
        .into_iter()
        .map(|(list, of)| {
            if board.sockets == 1 {
                return counted("channels", list.len(), numbers(&list, words), words);
            }
            let mut args = FluentArgs::new();
            args.set("count", list.len());
            args.set("list", numbers(&list, words));
            args.set("sockets", sockets(&of, words));
            words.say("channels-of-socket", &args)
        })
        .collect();
    joined(&items, words)
}

/// Where a finding is: its channels, else its sockets, else the board.
pub fn place(finding: &Finding, words: &Words, board: &Board) -> String {
    if !finding.channels.is_empty() {
        channels(&finding.channels, words, board)
    } else if !finding.sockets.is_empty() {
        sockets(&finding.sockets, words)
    } else {
        words.say("place-board", &FluentArgs::new())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::Generation;

    #[test]
    fn channels_are_named_by_socket() {
        let board =
            Board::checked(crate::domain::testing::board(Generation::Ddr3, 2, 4, 1)).unwrap();
        let say = |list: &[u16]| {
            channels(
                &list.iter().map(|c| ChannelIx(*c)).collect::<Vec<_>>(),
                Words::english(),
                &board,
            )
        };
        assert_eq!(
            say(&[0, 1, 2, 3, 4, 5, 6, 7]),
            "channels 1 to 4 of sockets 1 and 2"
        );
        assert_eq!(say(&[2]), "channel 3 of socket 1");
        assert_eq!(
            say(&[0, 1, 5]),
            "channels 1 and 2 of socket 1 and channel 2 of socket 2"
        );
    }
}
