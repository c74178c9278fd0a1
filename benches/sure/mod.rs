//! What a bench needs is there, or it ends with the reason: in goes a result, out comes its value.

/// Whatever a bench needs is there: it runs on shipped files, or on its own.
pub(crate) trait Sure<T> {
    /// The value; without one the program ends.
    fn sure(self) -> T;
}

impl<T, E: std::fmt::Debug> Sure<T> for Result<T, E> {
    fn sure(self) -> T {
        match self {
            Ok(value) => value,
            Err(error) => {
                eprintln!("{error:?}");
                std::process::exit(1)
            }
        }
    }
}
