//! In: any bytes. What is made of them, and what must hold then, is in `src/csv_in.rs`.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| paperweight_fuzz::csv_in::run(bytes));
