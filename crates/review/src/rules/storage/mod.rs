//! Storage tracks: live only when they are meant to be.

pub(super) mod storage_live_unlined;
pub(super) mod storage_not_live;
