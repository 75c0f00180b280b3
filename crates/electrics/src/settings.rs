//! Which positions controls stand in, and in which of all settings something is asked.

/// A position for each control, none for those in no position.
pub type Setting = Vec<Option<u8>>;

/// In which settings each zone is asked for its numbers.
pub trait Settings {
    /// Whether it is in a full setting.
    fn holds(&self, zone: usize, setting: &[u8]) -> bool;
    /// The positions that controls have in every such setting in which all of `given` hold; none where there is none.
    fn implied(&self, zone: usize, given: &[Option<u8>]) -> Option<Setting>;
    /// One such full setting; none where there is none.
    fn complete(&self, zone: usize, given: &[Option<u8>]) -> Option<Vec<u8>>;
}
