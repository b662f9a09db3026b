//! The journal against flash that is cut off, slow, worn and full of nonsense.

mod bad;
mod cuts;
pub(crate) mod flash;
mod night;
mod payloads;
mod sheets;
pub(crate) mod things;
