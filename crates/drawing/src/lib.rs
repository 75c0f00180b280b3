//! The laid-out drawing of a layout: where each rail lies on paper, with its gaps, joints, feeders and names.
