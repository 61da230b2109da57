//! Soil water, soil temperature and fitness for work.
