//! The desk: the local web pages.
