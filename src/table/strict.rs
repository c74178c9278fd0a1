//! Finds a quote that does not stand where RFC 4180 allows one.
//!
//! In go the bytes of one row; out comes where the first quote stands that neither opens a cell, nor
//! closes one, nor is doubled within one. The `csv` crate takes such quotes as text, which is right for an
//! inch mark, but also lets a cell that was left open swallow rows up to the next quote.

/// The offset of the quote that opened the cell in which the fault is, or of a quote inside bare text.
pub(super) fn loose_quote(row: &[u8], delimiter: u8) -> Option<usize> {
    #[derive(PartialEq)]
    enum In {
        Start,
        Bare,
        Quoted,
        Closed,
    }
    let mut state = In::Start;
    let mut opened = 0;
    let mut bytes = row.iter().copied().enumerate().peekable();
    while let Some((at, byte)) = bytes.next() {
        let separates = byte == delimiter || byte == b'\n';
        state = match state {
            In::Quoted if byte == b'"' => {
                if bytes.next_if(|(_, next)| *next == b'"').is_some() {
                    In::Quoted
                } else {
                    In::Closed
                }
            }
            In::Quoted => In::Quoted,
            _ if separates => In::Start,
            In::Start if byte == b'"' => {
                opened = at;
                In::Quoted
            }
            // a CR belongs to the line break after it
            In::Closed if byte == b'\r' => In::Closed,
            In::Closed => return Some(opened),
            _ if byte == b'"' => return Some(at),
            _ => In::Bare,
        };
    }
    (state == In::Quoted).then_some(opened)
}

#[cfg(test)]
mod tests {
    use super::loose_quote;

    #[test]
    fn quotes() {
        let cases = [
            ("a,b\n", None),
            ("\"a\",\"b\nc\"\r\n", None),
            ("\"a \"\"b\"\" c\",d\n", None),
            ("\"\",\"\"\"\"\n", None),
            ("\n\r\n\"a\"\n", None),
            ("a,5\" nail\n", Some(3)),
            ("a,\"b\"c\n", Some(2)),
            ("a,\"b\nc,\"d\"\n", Some(2)),
            ("a,\"b", Some(2)),
        ];
        for (row, expected) in cases {
            assert_eq!(loose_quote(row.as_bytes(), b','), expected, "{row:?}");
        }
    }
}
