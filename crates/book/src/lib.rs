//! The day book: entries, validation, fold, store, imports.
