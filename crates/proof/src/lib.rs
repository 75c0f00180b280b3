//! What holds in every setting.
