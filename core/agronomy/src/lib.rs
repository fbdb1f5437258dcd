//! Soil, nutrient, sampling and material arithmetic with its published tables.
