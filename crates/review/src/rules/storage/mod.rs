//! Storage tracks: live only when they are meant to be.

pub(super) mod keep_alive_overruns;
pub(super) mod storage_live_unlined;
pub(super) mod storage_not_live;
