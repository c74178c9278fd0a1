//! Checks against the outside and runs of the whole program, in one binary to keep builds short.
