//! The machine: its board, its processors and its firmware.

use crate::catalogue::record::BoardRecord;
use crate::domain::board::Board;
use crate::domain::request::SocketState;
use crate::domain::units::Version;
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};

use super::super::reference::IdOr;
use super::{BoardSource, Reader};

impl<'a> Reader<'a> {
    pub(super) fn board(&mut self, board: Option<&IdOr<BoardRecord>>) -> Option<BoardSource<'a>> {
        match board {
            None => {
                let fault = Fault::new("", FaultCode::MissingMember, "`board` is missing");
                self.faults
                    .push(fault.hint("an id of `/v1/boards`, or a board record"));
                None
            }
            Some(IdOr::Id(id)) => match self.catalogue.board(id) {
                Some(entry) => Some(BoardSource::Known(&entry.board)),
                None => {
                    let near = close_matches(
                        id,
                        self.catalogue
                            .boards()
                            .map(|entry| entry.record.id.as_str()),
                    );
                    let fault = Fault::new(
                        "/board",
                        FaultCode::UnknownName,
                        format!("there is no board `{id}` in this catalogue"),
                    );
                    self.faults.push(
                        fault
                            .hint("an id of `/v1/boards`, or a board record")
                            .close_matches(near),
                    );
                    None
                }
            },
            Some(IdOr::Own(record)) => match record.to_board() {
                Ok(board) => Some(BoardSource::Own(Box::new(board))),
                Err(faults) => {
                    self.record_faults("/board", faults);
                    None
                }
            },
        }
    }

    pub(super) fn sockets(&mut self, told: &[String], board: &Board) -> Vec<SocketState> {
        if told.len() != usize::from(board.sockets) {
            let message = format!("{} entries for {} sockets", told.len(), board.sockets);
            let fault = Fault::new("/processors", FaultCode::WrongCount, message);
            self.faults
                .push(fault.hint("one entry for each socket: a model, `fitted` or `empty`"));
        }
        let state = |(index, word): (usize, &String)| match word.as_str() {
            "empty" => SocketState::Empty,
            "fitted" => SocketState::Fitted(None),
            id => {
                let model = board.processors.iter().position(|model| model.id == id);
                if model.is_none() {
                    let names = board
                        .processors
                        .iter()
                        .map(|model| model.id.as_str())
                        .chain(["fitted", "empty"]);
                    let near = close_matches(id, names);
                    let message = format!("board `{}` takes no processor `{id}`", board.id);
                    let fault = Fault::new(
                        format!("/processors/{index}"),
                        FaultCode::UnknownName,
                        message,
                    );
                    self.faults.push(
                        fault
                            .hint("a model of the board, `fitted` or `empty`")
                            .close_matches(near),
                    );
                }
                SocketState::Fitted(model)
            }
        };
        told.iter().enumerate().map(state).collect()
    }

    pub(super) fn firmware(&mut self, text: &str) -> Option<Version> {
        let version = Version::new(text);
        if version.is_none() {
            let fault = Fault::new(
                "/firmware",
                FaultCode::Unusable,
                format!("`{text}` is no version"),
            );
            self.faults.push(
                fault.hint("numbers between dots, such as `2.4`; leave it out if it is not known"),
            );
        }
        version
    }
}
