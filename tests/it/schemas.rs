//! The shipped schemas are those of the types.
#![cfg(feature = "schema")]

#[test]
fn shipped_schemas_are_up_to_date() {
    for document in overcoat::schema::DOCUMENTS {
        let path = format!("{}/schemas/{document}.schema.json", env!("CARGO_MANIFEST_DIR"));
        let shipped = std::fs::read_to_string(&path).unwrap();
        assert_eq!(
            shipped,
            overcoat::schema::schema(document).unwrap(),
            "run `cargo run --features schema --example write_schemas`"
        );
    }
}
