//! The end-to-end tests live in `e2e`; this library is empty on purpose.
