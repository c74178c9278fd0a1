//! The frozen hash behind every draw. Nothing in this file may ever change: papers handed out years
//! ago are told again from it.
//!
//! In: who draws and which try it is. Out: for each given a whole number below the count of its
//! values. All numbers are little-endian; texts are preceded by their length in bytes as 8 bytes.
//!
//! 1. The problem's key is BLAKE3's `derive_key` with [`CONTEXT`] over: the seed (8 bytes), the code.
//! 2. A digest is BLAKE3's keyed hash, with that key, over: one byte, `S` for a student or `V` for a
//!    version; the student's id, or the version's number from 0 (4 bytes); the number of the issue
//!    (4 bytes); the try (4 bytes).
//! 3. The chance of a given is SipHash-2-4, with the first 16 bytes of the digest as its key, of the
//!    given's *name*: a given that is added, moved or taken out changes no other.
//!    It is written out below, since the standard library promises no algorithm and a crate may change.
//! 4. The value's index is the upper half of chance times count, as 128 bits. With counts up to 10⁶
//!    no value is likelier than another by more than 10⁻¹³.

/// Sets these draws apart from any other use of the hash.
const CONTEXT: &str = "paperweight 2026-11 values of a variant";

/// Who draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Holder<'a> {
    /// A student, by id.
    Student(&'a str),
    /// A version, from 0.
    Version(u32),
}

/// What is hashed in step 2: the holder's part, written once for all of their tries.
#[derive(Clone, Debug, Default)]
pub(crate) struct Message(Vec<u8>);

impl Holder<'_> {
    /// Begins the message of this holder.
    pub(crate) fn write(self, message: &mut Message) {
        message.0.clear();
        match self {
            Self::Student(id) => {
                message.0.push(b'S');
                push_text(&mut message.0, id);
            }
            Self::Version(number) => {
                message.0.push(b'V');
                message.0.extend_from_slice(&number.to_le_bytes());
            }
        }
    }
}

/// The key of a problem.
#[derive(Clone, Debug)]
pub(crate) struct ProblemKey([u8; 32]);

/// What a try of a holder draws from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Chances([u64; 2]);

impl ProblemKey {
    /// Step 1.
    pub(crate) fn new(seed: u64, code: &str) -> Self {
        let mut material = Vec::with_capacity(16 + code.len());
        material.extend_from_slice(&seed.to_le_bytes());
        push_text(&mut material, code);
        Self(blake3::derive_key(CONTEXT, &material))
    }

    /// Step 2; `message` holds what [`Holder::write`] wrote, and is only room to work in.
    pub(crate) fn chances(&self, message: &mut Message, issue: u32, attempt: u32) -> Chances {
        let holder = message.0.len();
        message
            .0
            .extend_from_slice(&(u64::from(issue) | u64::from(attempt) << 32).to_le_bytes());
        let digest = blake3::keyed_hash(&self.0, &message.0);
        message.0.truncate(holder);
        let [first, second, ..] = words(digest.as_bytes());
        Chances([first, second])
    }

    /// Where a student stands in the order of allocation: SipHash-2-4 of the id, with the first 16
    /// bytes of the problem's key.
    pub(crate) fn place(&self, student: &str) -> u64 {
        let [first, second, ..] = words(&self.0);
        siphash([first, second], student.as_bytes())
    }
}

impl Chances {
    /// Steps 3 and 4: the index of a given's value, below `count`.
    pub(crate) fn index(self, name: &Name, count: u64) -> u64 {
        let chance = siphash_of(self.0, name.0.iter().copied());
        ((u128::from(chance) * u128::from(count)) >> 64) as u64
    }
}

fn push_text(bytes: &mut Vec<u8>, text: &str) {
    bytes.extend_from_slice(&(text.len() as u64).to_le_bytes());
    bytes.extend_from_slice(text.as_bytes());
}

fn words(bytes: &[u8; 32]) -> [u64; 4] {
    let mut words = [0; 4];
    for (word, chunk) in words.iter_mut().zip(sip_words(bytes)) {
        *word = chunk;
    }
    words
}

/// SipHash-2-4 (Aumasson & Bernstein 2012).
pub(crate) fn siphash(key: [u64; 2], text: &[u8]) -> u64 {
    siphash_of(key, sip_words(text))
}

/// A given's name as SipHash reads it, prepared once.
#[derive(Clone, Debug)]
pub(crate) struct Name(Vec<u64>);

impl Name {
    pub(crate) fn new(name: &str) -> Self {
        Self(sip_words(name.as_bytes()).collect())
    }
}

/// The words SipHash reads: eight bytes each, the last one with the length at its top.
fn sip_words(text: &[u8]) -> impl Iterator<Item = u64> {
    let little = |bytes: &[u8]| {
        let digits = bytes.iter().enumerate();
        digits.fold(0, |word, (at, byte)| word | u64::from(*byte) << (8 * at))
    };
    let chunks = text.chunks_exact(8);
    let last = little(chunks.remainder()) | (text.len() as u64) << 56;
    chunks.map(little).chain([last])
}

fn siphash_of(key: [u64; 2], words: impl Iterator<Item = u64>) -> u64 {
    let mut state = [
        key[0] ^ 0x736f_6d65_7073_6575,
        key[1] ^ 0x646f_7261_6e64_6f6d,
        key[0] ^ 0x6c79_6765_6e65_7261,
        key[1] ^ 0x7465_6462_7974_6573,
    ];
    for word in words {
        state[3] ^= word;
        round(&mut state);
        round(&mut state);
        state[0] ^= word;
    }
    state[2] ^= 0xff;
    for _ in 0..4 {
        round(&mut state);
    }
    state[0] ^ state[1] ^ state[2] ^ state[3]
}

fn round([a, b, c, d]: &mut [u64; 4]) {
    *a = a.wrapping_add(*b);
    *c = c.wrapping_add(*d);
    *b = b.rotate_left(13) ^ *a;
    *d = d.rotate_left(16) ^ *c;
    *a = a.rotate_left(32);
    *c = c.wrapping_add(*b);
    *a = a.wrapping_add(*d);
    *b = b.rotate_left(17) ^ *c;
    *d = d.rotate_left(21) ^ *a;
    *c = c.rotate_left(32);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn siphash_agrees_with_its_paper() {
        // The example of appendix A: key 00 01 … 0f, text 00 01 … 0e.
        let key = [0x0706_0504_0302_0100, 0x0f0e_0d0c_0b0a_0908];
        let text: Vec<u8> = (0..15).collect();
        assert_eq!(siphash(key, &text), 0xa129_ca61_49be_45e5);
    }

    #[test]
    fn digests_are_frozen() {
        // Worked out with the Python packages blake3 1.0.11 and siphash24 1.9, from the words at the top.
        let key = ProblemKey::new(41027, "ropes-1");
        let mut message = Message::default();
        let mut of = |holder: Holder<'_>, issue, attempt| {
            holder.write(&mut message);
            key.chances(&mut message, issue, attempt)
        };
        let student = of(Holder::Student("s-0001"), 1, 0);
        let version = of(Holder::Version(3), 2, 70_000);
        let long = "an id of many letters, Nguyễn Thị Hương, which fills more than one block";
        let long = of(Holder::Student(long), 1, 0);
        let found =
            [student, version, long].map(|chances| chances.index(&Name::new("mA"), 1_000_000));
        assert_eq!(found, [50_041, 109_933, 954_659]);
    }
}
