//! Quantities, units, money, ids, civil dates and the shown working of a number.
