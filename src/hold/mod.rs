//! Holding: how many tabs, how big, where and why, by mechanics; or skin or tape where tabs cannot do it.
