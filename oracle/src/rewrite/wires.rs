//! Wires made longer.

use super::{Rewrite, metres};
use toml::Value;

impl Rewrite {
    /// Every length of a bus and of a wire that the plan says, so many times as long. Places on buses stay where they are.
    pub fn lengthen_wires(&mut self, times: f64) {
        for (kind, value) in self.0.iter_mut() {
            let keys: &[&str] = match kind.as_str() {
                "layout" | "track" => &["feeder_length"],
                "bus" => &["length"],
                "motor" | "relay" | "toggle" | "driver" => &["wire_length"],
                _ => continue,
            };
            let tables: Vec<&mut Value> = match value {
                Value::Array(tables) => tables.iter_mut().collect(),
                alone => vec![alone],
            };
            for table in tables.into_iter().filter_map(Value::as_table_mut) {
                for key in keys {
                    if let Some(length) = table.get_mut(*key) {
                        longer(length, times);
                    }
                }
                for feeder in table.get_mut("feeders").and_then(Value::as_array_mut).into_iter().flatten() {
                    if let Some(length) = feeder.get_mut("length") {
                        longer(length, times);
                    }
                }
            }
        }
    }
}

fn longer(length: &mut Value, times: f64) {
    if let Some(text) = length.as_str() {
        *length = Value::String(format!("{:.12} m", times * metres(text)));
    }
}
