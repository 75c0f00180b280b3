//! The JSON Schema of plans against a general validator (boon): it is a schema, it takes every demo plan,
//! and it refuses what the reader refuses for its form.

use crate::enumeration::require;
use boon::{Compiler, Schemas};
use libtest_mimic::{Failed, Trial};
use oracle::demos;
use serde_json::Value;

pub fn trials() -> Vec<Trial> {
    vec![Trial::test("schema::takes_the_demo_plans_and_refuses_broken_ones", check)]
}

fn check() -> Result<(), Failed> {
    let mut schemas = Schemas::new();
    let mut compiler = Compiler::new();
    compiler.add_resource("plan.json", plan::schema::schema()).map_err(|e| e.to_string())?;
    let schema = compiler.compile("plan.json", &mut schemas).map_err(|e| format!("{e:#}"))?;
    let valid = |text: &str| -> Result<bool, Failed> {
        let value: toml::Value = toml::from_str(text).map_err(|e| e.to_string())?;
        let value: Value = serde_json::to_value(value).map_err(|e| e.to_string())?;
        Ok(schemas.validate(&value, schema).is_ok())
    };
    let mut refused = 0;
    for demo in demos()? {
        require(valid(&demo.text)?, || format!("the schema refuses {}", demo.name))?;
        for (from, to) in [("feeders", "feedres"), ("length = \"", "longth = \""), ("\"live-bonded\"", "\"live\"")] {
            if demo.text.contains(from) {
                let broken = demo.text.replacen(from, to, 1);
                require(!plan::read(&broken).understood(), || format!("the reader takes {to} in {}", demo.name))?;
                require(!valid(&broken)?, || format!("the schema takes {to} in {}", demo.name))?;
                refused += 1;
            }
        }
    }
    require(refused > 10, || format!("only {refused} broken plans"))
}
