//! The journal against flash that is cut off, slow, worn and full of nonsense.

mod cuts;
mod flash;
mod things;
