//! The HTTP edge over real sockets.

#[cfg(test)]
mod access;
#[cfg(test)]
mod bad_input;
#[cfg(test)]
mod bulk;
#[cfg(test)]
mod choice;
#[cfg(test)]
mod client;
#[cfg(test)]
mod connections;
#[cfg(test)]
mod deliver;
#[cfg(test)]
mod documents;
#[cfg(test)]
mod drain;
#[cfg(test)]
mod examples;
#[cfg(test)]
mod explain;
#[cfg(test)]
mod forms;
#[cfg(test)]
mod heavy;
#[cfg(test)]
mod http;
#[cfg(test)]
mod installed_forms;
#[cfg(test)]
mod json;
#[cfg(test)]
mod labels;
#[cfg(test)]
mod languages;
#[cfg(test)]
mod lists;
#[cfg(test)]
mod live;
#[cfg(test)]
mod many;
#[cfg(test)]
mod observe;
#[cfg(test)]
mod optimise;
#[cfg(test)]
mod problems;
#[cfg(test)]
mod read_inventory;
#[cfg(test)]
mod read_module;
#[cfg(test)]
mod readme;
#[cfg(test)]
mod receipt;
#[cfg(test)]
mod reports;
#[cfg(test)]
mod service;
#[cfg(test)]
mod verify;
