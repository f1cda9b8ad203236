//! Drawings in: SVG text becomes parts in mm, with every fault found named and placed.
