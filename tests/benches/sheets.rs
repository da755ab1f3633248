//! One sheet from text to results, and the sprocket search over a thousand million combinations.
//! Run with `cargo bench --bench sheets`.
#![allow(missing_docs)]

use alleytrue::calculations::sprockets::{Position, Stage, best};
use alleytrue::sheet::{FieldSheet, Source, starter};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;

fn starter_sheet(criterion: &mut Criterion) {
    let source = Source::new("sheet.toml", starter::US);
    criterion.bench_function("read and check the starter sheet", |bencher| {
        bencher.iter(|| FieldSheet::read(black_box(&source)).is_ok());
    });
    let Ok(sheet) = FieldSheet::read(&source) else { return };
    criterion.bench_function("calibrate the starter sheet", |bencher| {
        bencher.iter(|| black_box(&sheet.job).calibrate().is_ok());
    });
}

fn sprockets(criterion: &mut Criterion) {
    let any = || Position { fitted: 20, choices: (8..=185).collect() };
    let stages = [Stage { driving: any(), driven: any() }, Stage { driving: any(), driven: any() }];
    criterion.bench_function("search 10^9 sprocket combinations", |bencher| {
        bencher.iter(|| best(black_box(&stages), 0.437_219, 8).is_ok());
    });
}

criterion_group!(benches, starter_sheet, sprockets);
criterion_main!(benches);
