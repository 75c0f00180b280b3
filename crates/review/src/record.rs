//! stub
/// stub
pub fn to_json(_r: &crate::Review, _t: &str, _n: &str) -> String {
    String::new()
}
