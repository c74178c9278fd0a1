#!/usr/bin/env bash
# Makes the Debian package: the program as it is handed on, its manual pages and completions, then the package
# itself by `cargo deb` (cargo install cargo-deb), whose path is the last line.
#
#   packaging/debian.sh                           the whole program
#   packaging/debian.sh --no-default-features     arguments go to `cargo build`
set -euo pipefail
cd "$(dirname "$0")/.."

target=${CARGO_TARGET_DIR:-target}
cargo build --profile dist --bin paperweight "$@"
program=$target/dist/paperweight

# Where the table of assets in Cargo.toml looks for them.
made=target/package
rm -rf "$made"
mkdir -p "$made/man" "$made/completions"
"$program" man --out "$made/man"
"$program" completions bash >"$made/completions/paperweight"
"$program" completions zsh >"$made/completions/_paperweight"
"$program" completions fish >"$made/completions/paperweight.fish"

cargo deb --no-build --profile dist
