//! Nesting: parts placed on sheets with room for the bit, the grain the right way, landings left standing.
