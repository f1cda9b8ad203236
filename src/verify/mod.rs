//! Verifying: every rule of a layout checked from its geometry alone; uses `geometry` and `layout` only.
