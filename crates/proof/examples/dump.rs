fn main() {
    let path = std::env::args().nth(1).unwrap();
    let src = std::fs::read_to_string(path).unwrap();
    let r = plan::read(&src);
    for f in &r.findings {
        println!("{:?} {} {} {:?}", f.severity, f.name, f.message, f.help);
    }
    let c = circuit::Circuit::of(&r.plan, &r.names);
    println!("{} nodes {} edges {} gaps", c.nodes.len(), c.edges.len(), c.gaps.len());
    for w in circuit::ways::ways(&c, 100).list {
        println!("way {} {:?}", w.name, w.setting);
    }
    let storage = r.plan.storage.as_ref().map(|s| proof::Storage {
        tracks: s.value.tracks.iter().filter_map(|t| r.names.get(&t.value)).map(|x| x.1).collect(),
        live: s.value.live.value,
    });
    let p = proof::prove(&c, storage.as_ref()).unwrap();
    let names =
        |w: &proof::Witness| w.edges.iter().map(|&e| c.edges[e as usize].name.clone()).collect::<Vec<_>>().join(" > ");
    let set =
        |s: &[circuit::Literal]| s.iter().map(|&l| format!("{:?}", c.literal_words(l))).collect::<Vec<_>>().join(",");
    println!("{:?}", p.counts);
    for s in &p.shorts {
        println!("SHORT {:?} [{}] {}", s.poles, set(&s.witness.setting), names(&s.witness));
    }
    for s in &p.wrong_phases {
        println!("WRONG {} {} [{}] {}", s.track, s.side, set(&s.witness.setting), names(&s.witness));
    }
    for s in &p.dead {
        println!("DEAD {:?} {:?} [{}]", s.why, s.pieces, set(&s.setting));
        for w in &s.paths {
            println!("   {}", names(w));
        }
    }
    for s in &p.bridges {
        let g = &c.gaps[s.gap];
        println!(
            "BRIDGE {} side {} x {} {:?} [{}] {} | {}",
            c.segments[g.segment].name,
            g.side,
            g.x,
            s.poles,
            set(&s.witness.setting),
            names(&s.witness),
            names(&s.other_path)
        );
    }
    for s in &p.storage {
        println!("STORAGE {} live={} [{}] {:?}", c.segments[s.track].name, s.live, set(&s.setting), s.always_fed);
        for w in &s.paths {
            println!("   {}", names(w));
        }
    }
}
