"""The search for the cheapest way, and the laying of many orders that keeps what they share.

Expected values: shortest paths by networkx on the same grid, every cell once per heading; and strips that are laid from
the start, which must come to the same as those that go on from what another order began.
"""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest

from countershaft.figures.train_axes import arrange
from countershaft.figures.train_router import ACROSS, UPWARD, Board, Cell
from countershaft.figures.train_routes import _Laying, _natural_order, _Task, _tracks

from .trains import DEMO_A, NETWORKS

BEND, RISE = 2.0, 0.6


def states(board: Board) -> nx.DiGraph:
    """Cells by the heading in which they are entered, free ones only; from each every step that is not held."""
    graph = nx.DiGraph()
    for column in range(board.width):
        for row in range(board.height):
            for way, (c, r) in ((ACROSS, (1, 0)), (UPWARD, (0, 1))):
                there = (column + c, row + r)
                edge = ((column, row), way)
                if there[0] >= board.width or there[1] >= board.height or edge in board.edges:
                    continue
                step = board.steps[column] if way == ACROSS else RISE
                for one, other in (((column, row), there), (there, (column, row))):
                    if board.free(other):
                        graph.add_edge((one, 0), (other, way), weight=step)
                        for heading in (ACROSS, UPWARD):
                            bend = BEND if heading != way else 0.0
                            graph.add_edge((one, heading), (other, way), weight=step + bend)
    return graph


@pytest.mark.parametrize("seed", range(40))
def test_the_cheapest_way_is_found(seed: int) -> None:
    """Random grids with closed cells and held stretches; prices and bends as the board counts them."""
    random = Random(seed)
    width, height = random.randint(4, 12), random.randint(3, 7)
    steps = tuple(random.choice((0.35, 0.6, 1.0)) for _ in range(width - 1))
    cells = [(column, row) for column in range(width) for row in range(height)]
    start, end, *rest = random.sample(cells, len(cells))
    closed: set[Cell] = set(rest[: len(rest) // 3])
    board = Board(height, steps, (False,) * (width - 1), closed)
    for cell in random.sample(rest, len(rest) // 6):
        board.edges[cell, random.choice((ACROSS, UPWARD))] = "other"
    graph = states(board)
    found = board.search("m", {start: 0.0}, ends={end: 0.0})
    goals = [(end, way) for way in (ACROSS, UPWARD) if (end, way) in graph]
    lengths = nx.single_source_dijkstra_path_length(graph, (start, 0)) if (start, 0) in graph else {}
    costs = [lengths[goal] for goal in goals if goal in lengths]
    assert (found is None) == (not costs)
    if found is not None:
        assert found.cost == pytest.approx(min(costs))
        assert (found.cells[0], found.cells[-1]) == (start, end)
        # A way that costs as much as the limit is not found, and one that costs less is.
        board.limit = found.cost
        assert board.search("m", {start: 0.0}, ends={end: 0.0}) is None
        board.limit = found.cost + 1e-6
        assert board.search("m", {start: 0.0}, ends={end: 0.0}) == found


@pytest.mark.parametrize("name", ["demo A", "demo B", "GT-24"])
def test_an_order_that_goes_on_from_another_comes_to_the_same(name: str) -> None:
    schematic = arrange(NETWORKS[name])
    random, changed = Random(3), 0
    for axis in range(len(schematic.axes)):
        task = _Task(schematic, _tracks(schematic.columns), axis, ())
        laying = _Laying(task)
        for _ in range(12):
            order = _natural_order(task)
            random.shuffle(order)
            strip, prices = laying.laid(order)
            fresh, its_prices = _Laying(task).laid(order)
            assert (strip.board.cost, prices) == (fresh.board.cost, its_prices)
            assert strip.board.edges == fresh.board.edges
            assert strip.board.corners == fresh.board.corners
            assert strip.sites == fresh.sites
            changed += strip.board.cost != laying.laid(_natural_order(task))[0].board.cost
    assert changed > 0


def test_a_copy_of_a_strip_leaves_the_first_alone() -> None:
    schematic = arrange(DEMO_A)
    laying = _Laying(_Task(schematic, _tracks(schematic.columns), 1, ()))
    strip, _ = laying.laid(())
    edges, parts = dict(strip.board.edges), {m: len(own) for m, own in strip.board.parts.items()}
    other = strip.copy()
    assert all(
        other.stems[key].cells == stem.cells and other.stems[key] is not stem
        for key, stem in strip.stems.items()
    )
    other.board.add_part("L1", [(0, 0)])
    other.board.connect("L1")
    assert other.board.edges != edges
    assert strip.board.edges == edges
    assert {m: len(own) for m, own in strip.board.parts.items()} == parts
