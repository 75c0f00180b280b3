//! Addresses of accessory decoders.

pub(super) mod address_shared;
pub(super) mod reserved_address;
