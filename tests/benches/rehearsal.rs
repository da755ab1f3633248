//! How fast trials are drawn: one of 160 plots on one core, with and without their stands, and ten
//! thousand of them on all cores. The aims are a million plots a second a core, and ten thousand trials
//! under two seconds on two cores.

#![allow(missing_docs, clippy::expect_used)]

use std::hint::black_box;
use std::num::NonZero;

use alleytrue::forecast::rehearsal::{
    Draws, Known, Limits, Part, Stand, Trial, Trips, count_of, draw,
};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

fn trial() -> Trial {
    let limits = Limits {
        plot: Some(3.0),
        centre: Some(2.0),
        width: Some(3.0),
        lead: Some(3.0),
        depth: Some(0.5),
        stand: Some(0.15),
    };
    Trial {
        ranges: 16,
        passes: 10,
        abreast: 1,
        border_ranges: 0,
        border_passes: 0,
        one_way: false,
        trips: Trips::Counted,
        plot: 210.0,
        others: vec![],
        limits,
        accept: 0.9,
    }
}

fn known() -> Known {
    let part = Part::of(&[0.3, 0.9, -0.2, 0.4, 1.1, 0.0, 0.6, -0.5]);
    let spacing = 1.504;
    Known {
        trip: Part::of(&[0.1, -0.1, 0.2, 0.0, -0.2, 0.1, 0.0, 0.1]),
        centre: part,
        width: part,
        marks: part.shared,
        spacing,
        phases: vec![0.0],
        depths: vec![Part::of(&[0.0, 0.1, -0.1, 0.05, -0.05, 0.1]); 4],
        stand: Some(Stand {
            spacing,
            rows: 4,
            positions: [256, 8, 22],
            come_up: 0.828,
            wanted: 467.0,
        }),
    }
}

fn benches(criterion: &mut Criterion) {
    let (trial, known) = (trial(), known());
    let limits = Limits { depth: None, stand: None, ..trial.limits };
    let without = Trial { limits, ..trial.clone() };
    let mut group = criterion.benchmark_group("rehearsal");
    group.throughput(Throughput::Elements(trial.plots()));
    let mut number = 0;
    group.bench_function("a trial, one core", |bencher| {
        bencher.iter(|| {
            number += 1;
            black_box(count_of(&trial, &known, 1, number))
        });
    });
    group.bench_function("a trial without depths and stands, one core", |bencher| {
        bencher.iter(|| {
            number += 1;
            black_box(count_of(&without, &known, 1, number))
        });
    });
    let cores = std::thread::available_parallelism().unwrap_or(NonZero::<usize>::MIN);
    group.sample_size(10);
    group.throughput(Throughput::Elements(10_000 * trial.plots()));
    group.bench_function("ten thousand trials, all cores", |bencher| {
        let draws = Draws { number: 10_000, seed: 1 };
        bencher.iter(|| black_box(draw(&trial, &known, draws, cores, &|_| ())));
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
