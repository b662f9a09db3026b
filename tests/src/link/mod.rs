//! The link to a host: its bytes, its refusals, and the whole way from a sheet to records.

mod asks;
mod bad;
mod bytes;
mod cuts;
pub(crate) mod device;
pub(crate) mod end_to_end;
mod learned;
mod power;
mod records;
mod resume;
mod speed;
mod voided;
