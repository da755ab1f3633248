//! How many changeovers a second the closed form predicts on one core, timers varied from one to
//! the next. Run with `cargo bench --bench changeovers`.
#![allow(missing_docs)]

use alleytrue::calculations::changeover::{Sweep, Timers, predict};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use std::hint::black_box;

fn timers(index: u32) -> Timers<f64> {
    let share = f64::from(index % 1000) / 1000.0;
    Timers {
        speed: 45.0 + 10.0 * share,
        spacing: 1.5,
        boost: 90.0,
        carry: 16.0,
        clean_out: 1.5 + 0.2 * share,
        run_out: 0.3 * share,
        fill: 0.6 * share,
        old_seed_gone: 1.1,
        new_seed_at_pick_up: 0.2,
        sweep: Some(Sweep { start: 1.3, length: 0.4, cells_before_release: 4.0 }),
        fall: 0.3,
    }
}

fn thousand(criterion: &mut Criterion) {
    let batch: Vec<Timers<f64>> = (0..1000).map(timers).collect();
    let mut group = criterion.benchmark_group("changeover");
    group.throughput(Throughput::Elements(1000));
    group.bench_function("predict a thousand", |bencher| {
        bencher.iter(|| {
            batch.iter().map(|timers| predict(black_box(&timers.schedule())).width).sum::<f64>()
        });
    });
    group.finish();
}

criterion_group!(benches, thousand);
criterion_main!(benches);
