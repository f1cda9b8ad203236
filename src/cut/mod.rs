//! Cutting: order, compensated paths, and a simulated cut of what is left of the sheet.
