"""Where each shift element sits: laid one by one between the lines that are already there."""

from __future__ import annotations

from countershaft.figures.train_bodies import PORT_HIGH
from countershaft.figures.train_router import ACROSS, UPWARD, Board, Cell
from countershaft.figures.train_strips import Site, Strip
from countershaft.mechanics.shift_elements import Clutch, Element, OneWayBetween, Sleeve

__all__ = ["ground", "place_element"]


def place_element(strip: Strip, element: Element) -> bool:
    """Lay an element where that is cheapest; False where there is no way."""
    match element:
        case Clutch(first=first, second=second) | OneWayBetween(first=first, second=second):
            return _between(strip, element, first, second)
        case Sleeve():
            return _sleeve(strip, element)
        case _:
            return _to_case(strip, element, element.members[0])


def _between(strip: Strip, element: Element, first: str, second: str, part: str = "") -> bool:
    """Lay an element between two members where that is cheapest."""
    board = strip.board
    if board.busy[second] < board.busy[first]:
        first, second = second, first
    starts, ends = board.open_cells(board.parts[first]), board.open_cells(board.parts[second])
    path = board.search(first, starts, other=second, ends=ends)
    if path is None or path.slot is None:
        return False
    board.lay(first, path, other=second)
    left, right = path.cells[path.slot], path.cells[path.slot + 1]
    members = (first, second) if left < right else (second, first)
    strip.sites.append(Site(element, min(left, right), *members, part=part))
    return True


def _to_case(strip: Strip, element: Element, member: str) -> bool:
    """Lead a member out to the case, where a brake holds it."""
    board = strip.board

    def at_case(cell: Cell, heading: int) -> bool:
        return heading == UPWARD and _clear(strip, cell) and board.free(cell)

    starts = board.open_cells(board.parts[member])
    ready = [cell for cell in sorted(starts) if cell in board.corners and _clear(strip, cell)]
    if ready:
        strip.sites.append(Site(element, ready[0], member))
        return True
    path = board.search(member, starts, at_case, ends={})
    if path is None:
        return False
    board.lay(member, path)
    strip.sites.append(Site(element, path.cells[-1], member))
    return True


def _clear(strip: Strip, cell: Cell) -> bool:
    """Whether nothing sits on the case at a cell yet, and no wheel's stem leads on from it."""
    if cell[1] != strip.top:
        return False
    stem = any(part.column == cell[0] for part in strip.stems.values())
    return not stem and all(site.cell != cell for site in strip.sites)


def ground(strip: Strip, member: str) -> bool:
    """Give a grounded member its sign of the case, close by."""
    board = strip.board

    def aside(cell: Cell, heading: int) -> bool:
        outward = heading == ACROSS or (heading == UPWARD and cell[1] > PORT_HIGH)
        return outward and board.free(cell) and 0 < cell[0] < board.width - 1

    path = board.search(member, board.open_cells(board.parts[member]), aside, ends={})
    if path is None:
        return False
    board.lay(member, path)
    before, last = path.cells[-2:]
    side = "above" if before[0] == last[0] else "right" if before[0] < last[0] else "left"
    strip.sites.append(Site(None, last, member, ground=side))
    return True


def _sleeve(strip: Strip, sleeve: Sleeve) -> bool:
    """Set a sleeve of one or two positions as one sign with its hub; any other as one sign per position."""
    pairs = [pair for _, pair in sleeve.positions]
    common = set(pairs[0]).intersection(*pairs[1:])
    if len(pairs) != 2 or not common:
        return all(_between(strip, sleeve, *pair, part=name) for name, pair in sleeve.positions)
    hub = max(common, key=pairs[0].index)
    sides = [next(member for member in pair if member != hub) for pair in pairs]
    board = strip.board
    sites = [
        (price, (column, row), left)
        for column in range(1, board.width - 3)
        for row in range(1, board.height)
        for left in (0, 1)
        if board.slots[column] and board.slots[column + 1]
        for price in [_site_price(board, (column, row), sides[left], hub, sides[1 - left])]
        if price is not None
    ]
    if not sites:
        return False
    _, (column, row), left = min(sites)
    for offset, member in enumerate((sides[left], hub, sides[1 - left])):
        board.add_part(member, [(column + offset, row)])
    board.edges[(column, row), ACROSS] = board.edges[(column + 1, row), ACROSS] = ""
    board.edges[(column + 1, row), UPWARD] = ""
    strip.sites.append(Site(sleeve, (column, row), sides[left], sides[1 - left], hub))
    return all(board.connect(member) for member in (*sides, hub))


def _site_price(board: Board, cell: Cell, left: str, hub: str, right: str) -> float | None:
    """How far the members of a sleeve are from a site, None where it is taken."""
    column, row = cell
    if not all(board.free((column + offset, row)) for offset in range(3)):
        return None
    ways = ((left, (column, row), 1.0), (hub, (column + 1, row), 1.0), (right, (column + 2, row), 1.0))
    return sum(weight * _nearest(board, member, place) for member, place, weight in ways)


def _nearest(board: Board, member: str, place: Cell) -> float:
    cells = board.open_cells(board.parts[member])
    return min((abs(c - place[0]) * 0.6 + abs(r - place[1]) * 1.2 for c, r in cells), default=99.0)
