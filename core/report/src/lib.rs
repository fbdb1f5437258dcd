//! Figures as SVG.
