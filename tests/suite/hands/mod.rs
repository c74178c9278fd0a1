//! What the tests share: corpora to walk, papers to mark, students who make mistakes, hands that type, the program that runs.

pub(crate) mod corpus;
pub(crate) mod desk;
pub(crate) mod program;
pub(crate) mod session;
pub(crate) mod students;
pub(crate) mod told;
pub(crate) mod typist;
