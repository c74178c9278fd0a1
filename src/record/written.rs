//! What was written into someone else's gradebook.
//!
//! In and out: plain values. They tell later which marks there are ours, and which were changed by hand
//! since. Rows are added, one each time a cell is written, and never changed.

/// The column of a gradebook in which a class's marks of a sheet stand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// The code of the sheet.
    pub sheet: String,
    /// The class.
    pub class: String,
    /// The file's name without its folder.
    pub file: String,
    /// The heading of the column.
    pub column: String,
}

/// A cell that was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The file's name without its folder.
    pub file: String,
    /// The student's id.
    pub student: String,
    /// What was written.
    pub text: String,
}
