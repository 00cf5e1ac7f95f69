//! Papers that go with an order.

pub mod sampling;
