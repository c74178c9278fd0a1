//! The JSON Schema of assignment files, for editors that complete and check while one types.
//!
//! In: the key table. Out: a schema that keeps to draft 4's constructs under draft 7's name, since
//! common editor toolkits stop there. It tells form alone; `paperweight check` tells the rest.

use serde_json::{Map, Value, json};

use super::keys::{ASSIGNMENT, Key, SHEET, Shape, TABLES, Table};

/// The schema of a file with one problem or a sheet of several.
pub fn schema() -> Value {
    let definitions: Map<String, Value> = TABLES
        .iter()
        .map(|table| (definition(table), object(table)))
        .collect();
    json!({
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "Paperweight assignment file",
        "description": format!("{}; or {}", ASSIGNMENT.about, SHEET.about),
        "anyOf": [reference(&ASSIGNMENT), reference(&SHEET)],
        "definitions": definitions,
    })
}

/// The name of a table's definition: its name without the article.
fn definition(table: &Table) -> String {
    let name = table
        .name
        .split_once(' ')
        .map_or(table.name, |(_, name)| name);
    name.replace(' ', "_")
}

fn reference(table: &Table) -> Value {
    json!({ "$ref": format!("#/definitions/{}", definition(table)) })
}

fn object(table: &Table) -> Value {
    let properties: Map<String, Value> = table
        .keys()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    let required: Vec<&str> = table
        .keys()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    let mut object = json!({
        "type": "object",
        "description": table.about,
        "properties": properties,
        "additionalProperties": false,
    });
    // Draft 4 forbids an empty list here.
    if !required.is_empty() {
        object["required"] = json!(required);
    }
    object
}

fn property(key: &Key) -> Value {
    let mut schema = shape(&key.shape);
    // Beside a `$ref` editors of those drafts see nothing else.
    if schema.get("$ref").is_some() {
        schema = json!({ "allOf": [schema] });
    }
    schema["description"] = json!(format!(
        "{}. Example: {} = {}",
        key.about, key.name, key.example
    ));
    schema
}

fn shape(of: &Shape) -> Value {
    match of {
        Shape::Text => json!({ "type": "string" }),
        Shape::Amount => json!({ "type": "number", "minimum": 0 }),
        Shape::Whole(least, most) => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Word(words) => json!({ "type": "string", "enum": words }),
        Shape::List(inner, least) => {
            json!({ "type": "array", "items": shape(inner), "minItems": least })
        }
        Shape::Table(table) => reference(table),
        Shape::Names(inner) => json!({ "type": "object", "additionalProperties": shape(inner) }),
        Shape::Either(shapes) => {
            json!({ "anyOf": shapes.iter().map(shape).collect::<Vec<_>>() })
        }
    }
}
