"""Answers of general-purpose libraries, for the tests in tests/suite to compare with.

    python3 -m venv VENV && VENV/bin/pip install -r requirements.txt && VENV/bin/python make.py

Writes into its own folder; the same seeds and versions write the same bytes. Nothing here knows of wires: resistor
networks, weighted graphs and thermocouple tables only.
"""

import csv
import json
import random
import sys
import textwrap
from importlib.metadata import version
from itertools import combinations
from pathlib import Path

import networkx as nx
import numpy as np
import thermocouple_its90
from scipy.optimize import LinearConstraint, milp
from scipy.sparse import coo_matrix, lil_matrix
from scipy.sparse.linalg import spsolve
from thermocouples_reference import thermocouples

HERE = Path(__file__).parent
PACKAGES = ["networkx", "numpy", "scipy", "thermocouple-its90", "thermocouples_reference"]


TOLD = []


def write_json(name, what, cases):
    rows = ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases)
    (HERE / name).write_text("[\n" + rows + "\n]\n")
    TOLD.append((name, what))


def write_told():
    """What each file holds and which versions made it; JSON has no room for remarks."""
    lines = ["Made by make.py with:", *(f"  {p} {version(p)}" for p in PACKAGES)]
    for name, what in TOLD:
        lines += ["", name, *textwrap.wrap(what, 110, initial_indent="  ", subsequent_indent="  ")]
    (HERE / "MADE.txt").write_text("\n".join(lines) + "\n")


def rounded(value, digits=12):
    return float(f"{value:.{digits}g}")


def connected_edges(rng, nodes, extra):
    """A random tree over the nodes and some edges more; the second half may double an edge (parallel resistors)."""
    edges = [(rng.randrange(n), n) for n in range(1, nodes)]
    edges += [tuple(rng.sample(range(nodes), 2)) for _ in range(extra)]
    return edges


def resistive_networks():
    """Currents are injected, node 0 is at 0 V. Solved as a dense and as a sparse system, which must agree."""
    cases = []
    for seed in range(40):
        rng = random.Random(1000 + seed)
        nodes = rng.choice([2, 3, 4, 6, 10, 16, 25, 40])
        resistors = []
        for a, b in connected_edges(rng, nodes, rng.randrange(nodes)):
            # Straps of a fraction of a milliohm beside sensors of kilohms: five decades, as a harness has them.
            resistors.append([a, b, rounded(10 ** rng.uniform(-4, 3), 6)])
        sources = []
        for _ in range(rng.randint(1, 4)):
            a, b = rng.sample(range(nodes), 2)
            sources.append([a, b, rounded(rng.uniform(0.001, 50), 6)])
        conductance = np.zeros((nodes, nodes))
        for a, b, ohm in resistors:
            conductance[a, a] += 1 / ohm
            conductance[b, b] += 1 / ohm
            conductance[a, b] -= 1 / ohm
            conductance[b, a] -= 1 / ohm
        injected = np.zeros(nodes)
        for source, sink, amp in sources:
            # The source takes the current out of its first node and puts it into its second.
            injected[source] -= amp
            injected[sink] += amp
        dense = np.linalg.solve(conductance[1:, 1:], injected[1:])
        sparse = spsolve(coo_matrix(conductance[1:, 1:]).tocsc(), injected[1:])
        assert np.allclose(dense, sparse, rtol=1e-8, atol=1e-9), seed
        volts = [0.0] + [rounded(float(v)) for v in dense]
        cases.append({"nodes": nodes, "resistors": resistors, "sources": sources, "volts": volts})
    write_json(
        "resistive_networks.json",
        "Resistors [a, b, ohm]; sources [from, to, amp] take the current out of node `from` and put it into node `to`; "
        "volts of every node by numpy.linalg.solve, checked with scipy.sparse.linalg.spsolve, node 0 at 0 V.",
        cases,
    )


def weighted_graph(rng, nodes, extra):
    graph = nx.Graph()
    for a, b in connected_edges(rng, nodes, extra):
        if not graph.has_edge(a, b):
            graph.add_edge(a, b, weight=rng.randint(1, 100))
    return graph


def edges_of(graph):
    return [[min(a, b), max(a, b), data["weight"]] for a, b, data in graph.edges(data=True)]


def steiner_by_subsets(graph, terminals):
    """Minimum over all sets of at most k - 2 further nodes of the minimum spanning tree in the metric closure.

    A minimum Steiner tree needs no more branching nodes than terminals less two; between terminals and branching nodes
    it is made of shortest paths.
    """
    distance = dict(nx.all_pairs_dijkstra_path_length(graph))
    others = [n for n in graph if n not in terminals]
    best = None
    for size in range(0, max(0, len(terminals) - 2) + 1):
        for more in combinations(others, size):
            closure = nx.Graph()
            for a, b in combinations([*terminals, *more], 2):
                closure.add_edge(a, b, weight=distance[a][b])
            weight = nx.minimum_spanning_tree(closure).size(weight="weight") if len(closure) else 0
            best = weight if best is None else min(best, weight)
    return best


def steiner_by_flow(graph, terminals):
    """The same minimum as an integer program: one unit of flow from the first terminal to each other one, through arcs
    that are bought once.
    """
    arcs = [(a, b, d["weight"]) for a, b, d in graph.edges(data=True)]
    arcs += [(b, a, w) for a, b, w in arcs]
    root, *sinks = terminals
    many = len(arcs)
    columns = many * (1 + len(sinks))
    cost = np.zeros(columns)
    cost[:many] = [w for _, _, w in arcs]
    rows, low, high = [], [], []
    for i, sink in enumerate(sinks):
        at = many * (1 + i)
        for node in graph:
            row = {}
            for j, (a, b, _) in enumerate(arcs):
                if a == node:
                    row[at + j] = row.get(at + j, 0) + 1
                if b == node:
                    row[at + j] = row.get(at + j, 0) - 1
            net = 1 if node == root else -1 if node == sink else 0
            rows.append(row)
            low.append(net)
            high.append(net)
        for j in range(many):
            rows.append({at + j: 1, j: -1})
            low.append(-np.inf)
            high.append(0)
    matrix = lil_matrix((len(rows), columns))
    for r, row in enumerate(rows):
        for c, value in row.items():
            matrix[r, c] = value
    whole = np.zeros(columns)
    whole[:many] = 1
    found = milp(
        cost,
        constraints=LinearConstraint(matrix.tocsr(), low, high),
        integrality=whole,
        bounds=(0, 1),
        options={"mip_rel_gap": 0},
    )
    assert found.success, found.message
    return round(found.fun)


def steiner_trees():
    cases = []
    plan = [(k, n) for k in (3, 4, 5) for n in (5, 8, 12, 16)] + [(6, 9), (6, 14), (7, 10), (8, 11)]
    plan += [(3, 30), (4, 30), (5, 22), (6, 30), (7, 30), (8, 30)] * 2
    for seed, (many, nodes) in enumerate(plan):
        rng = random.Random(2000 + seed)
        graph = weighted_graph(rng, nodes, rng.randrange(nodes // 2, 2 * nodes))
        terminals = sorted(rng.sample(range(nodes), many))
        weight = steiner_by_flow(graph, terminals)
        # Two ways where the first is not too long.
        if many <= 5 and nodes <= 22 or nodes <= 14:
            assert weight == steiner_by_subsets(graph, terminals), seed
        else:
            assert weight <= nx.approximation.steiner_tree(graph, terminals).size(weight="weight"), seed
        cases.append({"nodes": nodes, "edges": edges_of(graph), "terminals": terminals, "weight": int(weight)})
    write_json(
        "steiner_trees.json",
        "Connected graphs with whole weights; weight is that of a minimum Steiner tree over the terminals, exact: "
        "scipy.optimize.milp (flow formulation), on the smaller ones also every set of branching nodes with networkx's "
        "spanning tree of the metric closure.",
        cases,
    )


def shortest_paths():
    cases = []
    for seed in range(20):
        rng = random.Random(3000 + seed)
        nodes = rng.choice([5, 10, 20, 40])
        graph = weighted_graph(rng, nodes, rng.randrange(nodes // 2, 2 * nodes))
        start = rng.randrange(nodes)
        reached = nx.single_source_dijkstra_path_length(graph, start)
        cases.append(
            {"nodes": nodes, "edges": edges_of(graph), "from": start, "distance": [reached[n] for n in range(nodes)]}
        )
    write_json(
        "shortest_paths.json",
        "Connected graphs with whole weights; distance from node `from` to every node by "
        "networkx.single_source_dijkstra_path_length.",
        cases,
    )


def medians():
    """Where the summed distance to the terminals, each counted `times`, is smallest."""
    cases = []
    for seed in range(25):
        rng = random.Random(4000 + seed)
        nodes = rng.choice([4, 8, 15, 30])
        graph = weighted_graph(rng, nodes, rng.randrange(nodes))
        terminals = sorted(rng.sample(range(nodes), rng.randint(2, min(8, nodes))))
        times = [rng.randint(1, 3) for _ in terminals]
        distance = dict(nx.all_pairs_dijkstra_path_length(graph))
        sums = [sum(k * distance[t][n] for t, k in zip(terminals, times)) for n in range(nodes)]
        least = min(sums)
        cases.append(
            {
                "nodes": nodes,
                "edges": edges_of(graph),
                "terminals": terminals,
                "times": times,
                "sum": least,
                "at": [n for n in range(nodes) if sums[n] == least],
            }
        )
    write_json(
        "medians.json",
        "Connected graphs with whole weights; sum is the least sum over the terminals of times x distance "
        "(networkx.all_pairs_dijkstra_path_length), at names every node that has it.",
        cases,
    )


def thermocouple_tables():
    with open(HERE / "thermocouples.csv", "w", newline="") as file:
        file.write(
            "# emf in mV, reference junction at 0 C, every 10 C over the whole range of types K and J, and the "
            "temperature back from that emf, by two packages that know nothing of each other: thermocouples_reference "
            f"{version('thermocouples_reference')} and thermocouple-its90 {version('thermocouple-its90')}. Made by "
            "make.py.\n"
        )
        TOLD.append(("thermocouples.csv", "See its first line."))
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["type", "T_C", "emf_reference_mV", "emf_its90_mV", "back_reference_C", "back_its90_C"])
        for letter in "KJ":
            one, other = thermocouples[letter], thermocouple_its90.get(letter)
            low, high = (round(t) for t in other.range)
            steps = sorted({low, high, *range(-(-low // 10) * 10, high + 1, 10)})
            for t in steps:
                emf, emf_other = float(one.emf_mVC(float(t))), other.emf(float(t))
                assert abs(emf - emf_other) < 1e-9, (letter, t)
                back = f"{float(one.inverse_CmV(emf)):.6f}"
                out.writerow([letter, t, f"{emf:.9f}", f"{emf_other:.9f}", back, f"{other.temperature(emf_other):.6f}"])


if __name__ == "__main__":
    assert sys.version_info >= (3, 10)
    resistive_networks()
    steiner_trees()
    shortest_paths()
    medians()
    thermocouple_tables()
    write_told()
