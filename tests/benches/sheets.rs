//! One sheet from text to results, and the sprocket search close to its limit of combinations.
//! Run with `cargo bench --bench sheets`.
#![allow(missing_docs)]

use alleytrue::calculations::sprockets::{Position, Stage, Wanted, best};
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
    // 41^4 = 2 825 761 combinations, a third of the chains too long or too short.
    let any = || Position { fitted: 20, choices: (11..=51).collect() };
    let stages = [Stage { driving: any(), driven: any() }, Stage { driving: any(), driven: any() }];
    let chain_fits =
        |_: usize, driving: u32, driven: u32| !(driving + 2 * driven).is_multiple_of(3);
    for (name, tolerance) in [("nearest", None), ("fewest swaps", Some(0.01))] {
        let wanted = Wanted {
            ratio: 0.437_219,
            tolerance,
            chain_fits: &chain_fits,
            has_room: &|_, _, _| true,
            heed_chains: true,
        };
        criterion.bench_function(&format!("search 2.8 million sprockets, {name}"), |bencher| {
            bencher.iter(|| best(black_box(&stages), &wanted, 8).is_ok());
        });
    }
}

criterion_group!(benches, starter_sheet, sprockets);
criterion_main!(benches);
