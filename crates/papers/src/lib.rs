//! The binder and its other forms: pages to print, pages to read, tables for other programs.
