fn main() {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).unwrap();
        let r = plan::read(&text);
        let c = circuit::Circuit::of(&r.plan, &r.names);
        println!("== {path} understood {}", r.understood());
        match movement::movement(&r.plan, &c) {
            Err(e) => println!("{e:?}"),
            Ok(m) => {
                println!("cold {:?}\nhot {:?}", m.mismatch(0, 0).strain, m.mismatch(0, 1).strain);
                for (i, run) in m.runs.list.iter().enumerate() {
                    println!("run {i} len {:.3} closed {} branched {} ends {} reach {:.3?} still {:.3} {}", run.length, run.closed, run.branched, run.ends, run.reach, run.still, c.nodes[run.node as usize].name);
                }
                for (p, q) in m.runs.partings.iter().zip(&m.places) {
                    let mm = |s: handbook::Spread<f64>| format!("{:.2}/{:.2}/{:.2}", s.low*1e3, s.typical*1e3, s.high*1e3);
                    println!("{} {} {} @{:.3} runs {:?} reach {:.3?} left {:.2} cold {} hot {} leave {:.2} {:?}", if q.is_gap {"gap"} else {"slide"}, c.segments[p.joint.track].name, p.joint.side, p.joint.x, p.runs, p.reach, q.left*1e3, mm(q.widths(q.left)[0]), mm(q.widths(q.left)[1]), q.leave.width*1e3, q.leave.fit);
                }
                for p in m.pressed() { println!("{p:?}"); }
            }
        }
    }
}
