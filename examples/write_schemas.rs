//! Writes the JSON Schemas of all documents to `schemas/`: `cargo run --features schema --example write_schemas`.

fn main() -> Result<(), Box<dyn std::error::Error>> {
    for document in overcoat::schema::DOCUMENTS {
        let path = format!("schemas/{document}.schema.json");
        std::fs::write(&path, overcoat::schema::schema(document)?)?;
        println!("written: {path}");
    }
    Ok(())
}
