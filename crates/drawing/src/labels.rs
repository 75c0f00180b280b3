//! Words.
use crate::frame::Frame;
use schedule::Job;
pub(crate) const NAME: f64 = 2.4;
pub(crate) fn label(_frame: &mut Frame, _job: &Job<'_>) {}
