//! Readers of module labels and SPD images, tested against published labels, synthetic images and an
//! independent decoder.

#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "helpers of tests are tests too, but clippy exempts only the test functions"
)]

#[path = "../common/show.rs"]
mod show;
#[path = "../common/watch.rs"]
mod watch;

mod dumps;
mod fuzz;
mod independent;
mod labels;
mod mutate;
mod note_kinds;
mod properties;
mod spd_images;
mod typos;
mod views;
