"""The peers of `peers.rs`: resistance to ground at every position of one network, by one general tool, on one thread.

    peers.py PEER NETWORK

NETWORK is a JSON file: `n` nodes, `ground` (nodes that are ground), `edges` (pairs), `ohms` (of each edge), `found`
(the resistance of every node to ground as the kernel found it). Prints one JSON object: `seconds` for all positions,
`measured` (how many positions were measured; the time of one times their number where it is not all), `error` (the
largest relative difference from `found` at those), `bytes` (growth of the resident memory; for ngspice its whole
process), `version`, `note`. Fails where the peer is not there.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time

for library in ("OMP", "OPENBLAS", "MKL"):
    os.environ[f"{library}_NUM_THREADS"] = "1"


def spread(network, count):
    """Some positions, evenly spread over the network, none of them ground."""
    ground = set(network["ground"])
    free = [node for node in range(network["n"]) if node not in ground]
    return free if count >= len(free) else [free[(2 * k + 1) * len(free) // (2 * count)] for k in range(count)]


def resident(who=resource.RUSAGE_SELF):
    return resource.getrusage(who).ru_maxrss * 1024


def best(repeats, work):
    """The shortest time of some runs, and what the last one gave."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - start)
    return min(times), result


def ngspice(network):
    """One process for each position: one ampere into it, operating point, its voltage."""
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    name = {node: f"n{node}" for node in range(network["n"])} | {node: "0" for node in network["ground"]}
    cards = [f"r{e} {name[u]} {name[v]} {r!r}" for e, ((u, v), r) in enumerate(zip(network["edges"], network["ohms"]))]
    error, fastest = 0.0, float("inf")
    positions = spread(network, 3 if network["n"] >= 100_000 else 7)
    with tempfile.TemporaryDirectory() as folder:
        deck = os.path.join(folder, "position.cir")
        for node in positions:
            control = [".control", "set noaskquit", "set numdgt=15", "op", f"print v({name[node]})", "quit 0", ".endc"]
            lines = ["position", *cards, f"i1 0 {name[node]} 1", *control, ".end"]
            with open(deck, "w") as file:
                file.write("\n".join(lines) + "\n")
            seconds, run = best(
                2, lambda: subprocess.run(["ngspice", "-b", deck], capture_output=True, text=True, check=True)
            )
            said = run.stdout + run.stderr
            assert "singular" not in said and "failed" not in said, said
            value = next(line for line in run.stdout.splitlines() if line.startswith(f"v({name[node]})"))
            error = max(error, abs(float(value.split("=")[1]) / network["found"][node] - 1))
            fastest = min(fastest, seconds)
    every = network["n"] - len(network["ground"])
    return {
        "seconds": fastest * every,
        "measured": len(positions),
        "error": error,
        "bytes": resident(resource.RUSAGE_CHILDREN),
        "version": next(word for word in version.split() if word.startswith("ngspice")),
    }


def matrix(network):
    """The node equations without ground, and the row of each node."""
    import numpy as np
    import scipy.sparse as sparse

    free = np.ones(network["n"], dtype=bool)
    free[network["ground"]] = False
    row = np.cumsum(free) - 1
    ends, g = np.array(network["edges"]), 1 / np.array(network["ohms"])
    u, v = ends[:, 0], ends[:, 1]
    keep_u, keep_v, both = free[u], free[v], free[u] & free[v]
    rows = np.concatenate([row[u][keep_u], row[v][keep_v], row[u][both], row[v][both]])
    columns = np.concatenate([row[u][keep_u], row[v][keep_v], row[v][both], row[u][both]])
    values = np.concatenate([g[keep_u], g[keep_v], -g[both], -g[both]])
    return sparse.csc_matrix((values, (rows, columns)), shape=(int(free.sum()),) * 2), row


def splu(network):
    """One factor, and one solve with it for each position."""
    import numpy as np
    import scipy
    from scipy.sparse.linalg import splu as factorise

    equations, row = matrix(network)
    before = resident()
    settings = {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}
    small = network["n"] <= 1000
    factor_time, factor = best(20 if small else 3, lambda: factorise(equations, **settings))
    size = equations.shape[0]
    positions = spread(network, 300 if network["n"] > 10_000 else size)
    rows = [int(row[node]) for node in positions]

    def one_by_one():
        found = np.empty(len(rows))
        current = np.zeros(size)
        for k, i in enumerate(rows):
            current[i] = 1.0
            found[k] = factor.solve(current)[i]
            current[i] = 0.0
        return found

    def by_blocks():
        for start in range(0, len(rows), 64):
            block = np.zeros((size, len(rows[start : start + 64])), order="F")
            block[rows[start : start + 64], range(block.shape[1])] = 1.0
            factor.solve(block)

    solve_time, found = best(10 if small else 2, one_by_one)
    block_time, _ = best(10 if small else 2, by_blocks)
    error = np.abs(found / np.array([network["found"][node] for node in positions]) - 1).max()
    whole = size / len(rows)
    return {
        "seconds": factor_time + solve_time * whole,
        "measured": len(rows),
        "error": float(error),
        "bytes": resident() - before,
        "version": f"SciPy {scipy.__version__}",
        "note": f"64 positions at a time: {factor_time + block_time * whole:.3g} s",
    }


def pandapower(network):
    """The short-circuit calculation, which gives the equivalent resistance at every bus."""
    import numpy as np
    import pandapower as power
    from pandapower.shortcircuit import calc_sc

    before = resident()
    net = power.create_empty_network()
    power.create_buses(net, network["n"], vn_kv=1.0)
    ends = np.array(network["edges"])
    for node in network["ground"]:
        # A source as stiff as it can be said to be: a nanoohm.
        power.create_ext_grid(net, node, s_sc_max_mva=1e9, rx_max=10.0, s_sc_min_mva=1e9, rx_min=10.0)
    power.create_lines_from_parameters(
        net, ends[:, 0], ends[:, 1], length_km=1.0, r_ohm_per_km=np.array(network["ohms"]), x_ohm_per_km=0.0,
        c_nf_per_km=0.0, max_i_ka=1.0,
    )  # fmt: skip
    ways = [False, True] if network["n"] <= 1000 else [False]
    repeats = 3 if network["n"] <= 1000 else 1
    times = [(*best(repeats, lambda: calc_sc(net, fault="3ph", case="max", inverse_y=way)), way) for way in ways]
    seconds, _, way = min(times, key=lambda entry: entry[0])
    found = net.res_bus_sc.rk_ohm.to_numpy()
    positions = spread(network, network["n"])
    error = np.abs(found[positions] / np.array(network["found"])[positions] - 1).max()
    return {
        "seconds": seconds,
        "measured": len(positions),
        "error": float(error),
        "bytes": resident() - before,
        "version": f"pandapower {power.__version__}",
        "note": f"inverse_y={way}",
    }


if __name__ == "__main__":
    peer, path = sys.argv[1:]
    with open(path) as file:
        given = json.load(file)
    result = {"ngspice": ngspice, "splu": splu, "pandapower": pandapower}[peer](given)
    result["python"] = sys.version.split()[0]
    print(json.dumps(result))
