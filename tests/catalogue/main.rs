//! The catalogue from outside: the demo catalogue, faults of records and folders, the mirror between
//! record and domain, the revision, the schemas.

mod demo;
mod faults;
mod folder;
mod mirror;
mod revision;
mod schemas;
mod support;
