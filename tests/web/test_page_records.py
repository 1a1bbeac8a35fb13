"""Every field that a page record declares is read by its template, and nothing else is.

Expected values: the records' own fields, read from their classes; the templates are followed through loops,
macros and parent templates, so that a field of a record inside a record counts as well.
"""

from __future__ import annotations

import types
import typing
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from countershaft.web.assets import templates_dir
from countershaft.web.pages.choosing import ChoosePage
from countershaft.web.pages.comparing import ComparisonPage, ComparisonsPage
from countershaft.web.pages.decide import DecidePage
from countershaft.web.pages.diagnose import DiagnosePage
from countershaft.web.pages.draft import DraftPage
from countershaft.web.pages.fastener_sheets import FastenerSheetsPage
from countershaft.web.pages.fasteners import FastenersPage
from countershaft.web.pages.file import FilePage
from countershaft.web.pages.files import FilesPage
from countershaft.web.pages.fit import FitPage, FitsPage
from countershaft.web.pages.forms import FormPage, MethodsPage
from countershaft.web.pages.hole_picture import HolePicturePage
from countershaft.web.pages.identify import IdentifyPage
from countershaft.web.pages.inspection import InspectionPage
from countershaft.web.pages.intake import IntakePage
from countershaft.web.pages.joint_check import JointCheckPage
from countershaft.web.pages.labels import LabelsPage
from countershaft.web.pages.measured import MeasuredPage
from countershaft.web.pages.order import OrderPage
from countershaft.web.pages.order_now import NowPage
from countershaft.web.pages.prove import ProvePage
from countershaft.web.pages.removals import RemovalsPage
from countershaft.web.pages.sheet import PaperPage
from countershaft.web.pages.shop import InstrumentsPage
from countershaft.web.pages.stock import CountPage, StockPage
from countershaft.web.pages.sums import SumPage, SumsPage
from countershaft.web.pages.tags import PartPage, ScanPage, TrayPage

PAGES: dict[str, type] = {
    "sheet/paper.html": PaperPage,
    "compare/list.html": ComparisonsPage,
    "compare/comparison.html": ComparisonPage,
    "intake/intake.html": IntakePage,
    "diagnose/diagnose.html": DiagnosePage,
    "inspect/inspect.html": InspectionPage,
    "inspect/form.html": FormPage,
    "inspect/methods.html": MethodsPage,
    "decide/decide.html": DecidePage,
    "fit/fits.html": FitsPage,
    "measure/measured.html": MeasuredPage,
    "fit/fit.html": FitPage,
    "fit/choose.html": ChoosePage,
    "fit/stock.html": StockPage,
    "fit/count.html": CountPage,
    "prove/prove.html": ProvePage,
    "bench/removals.html": RemovalsPage,
    "files/draft.html": DraftPage,
    "order/order.html": OrderPage,
    "order/now.html": NowPage,
    "files/list.html": FilesPage,
    "files/file.html": FilePage,
    "shop/instruments.html": InstrumentsPage,
    "tags/scan.html": ScanPage,
    "tags/tray.html": TrayPage,
    "tags/part.html": PartPage,
    "tags/labels.html": LabelsPage,
    "fasteners/unit.html": FastenersPage,
    "fasteners/joint.html": JointCheckPage,
    "fasteners/sheets.html": FastenerSheetsPage,
    "fasteners/identify.html": IdentifyPage,
    "fasteners/picture.html": HolePicturePage,
    "sums/list.html": SumsPage,
    "sums/sum.html": SumPage,
}

Kind = object


def parts_of(kind: Kind) -> list[Kind]:
    """A type without its None: the members of a union, else the type itself."""
    if isinstance(kind, types.UnionType) or typing.get_origin(kind) is typing.Union:
        return [one for one in typing.get_args(kind) if one is not types.NoneType]
    return [kind]


def element_of(kind: Kind) -> Kind:
    """What a loop over a value of this type sees."""
    for one in parts_of(kind):
        args = typing.get_args(one)
        if typing.get_origin(one) is tuple and len(args) == 2 and args[1] is Ellipsis:
            return args[0]
    return None


class Follower:
    """Walks a template with the types of its variables and notes every field that is read."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.environment = Environment(extensions=[])
        self.read: set[tuple[type, str]] = set()
        self.unknown: list[str] = []
        self.seen: set[tuple[str, str, tuple[str, ...]]] = set()

    def tree(self, name: str) -> nodes.Template:
        return self.environment.parse((self.folder / name).read_text(encoding="utf-8"))

    def page(self, name: str, record: type) -> None:
        """Follow a template whose `page` is that record, and every template that it extends."""
        tree = self.tree(name)
        self.body(tree, {"page": record}, self.imports(name, tree))
        for parent in tree.find_all(nodes.Extends):
            assert isinstance(parent.template, nodes.Const)
            self.page(parent.template.value, record)

    def imports(self, name: str, tree: nodes.Template) -> dict[str, str]:
        """Alias of an imported template to its file; the template's own macros stand under ""."""
        found = {"": name}
        for one in tree.find_all(nodes.Import):
            assert isinstance(one.template, nodes.Const)
            found[one.target] = one.template.value
        return found

    def body(self, node: nodes.Node, known: dict[str, Kind], imports: dict[str, str]) -> None:
        if isinstance(node, nodes.Macro):
            return  # followed where it is called, with the types it is called with
        if isinstance(node, nodes.For):
            kind = self.kind(node.iter, known, imports)
            known = {**known, **self.loop_names(node.target, element_of(kind))}
        elif isinstance(node, nodes.Assign) and isinstance(node.target, nodes.Name):
            known[node.target.name] = self.kind(node.node, known, imports)
            return
        if isinstance(node, nodes.Expr):
            self.kind(node, known, imports)
            return
        for child in node.iter_child_nodes():
            self.body(child, known, imports)

    def loop_names(self, target: nodes.Node, kind: Kind) -> dict[str, Kind]:
        if isinstance(target, nodes.Name):
            return {target.name: kind}
        assert isinstance(target, nodes.Tuple)
        args = typing.get_args(kind) if typing.get_origin(kind) is tuple else ()
        given = args if len(args) == len(target.items) else [None] * len(target.items)
        return {
            item.name: one
            for item, one in zip(target.items, given, strict=True)
            if isinstance(item, nodes.Name)
        }

    def kind(self, node: nodes.Node, known: dict[str, Kind], imports: dict[str, str]) -> Kind:
        """The type of an expression, where it is known; every field on the way is noted."""
        if isinstance(node, nodes.Name):
            return known.get(node.name)
        if isinstance(node, nodes.Getattr):
            return self.attribute(self.kind(node.node, known, imports), node.attr)
        if isinstance(node, nodes.Call):
            self.call(node, known, imports)
            return None
        if isinstance(node, nodes.Getitem):
            return self.kind(node.node, known, imports)
        if isinstance(node, nodes.List) and node.items:
            inner = [self.kind(item, known, imports) for item in node.items]
            return tuple[inner[0], ...] if inner[0] is not None else None
        found = [self.kind(child, known, imports) for child in node.iter_child_nodes()]
        either = [one for one in found if one is not None]
        return either[0] if isinstance(node, nodes.CondExpr) and either else None

    def attribute(self, kind: Kind, name: str) -> Kind:
        for one in parts_of(kind):
            if isinstance(one, type) and is_dataclass(one):
                if name not in {field.name for field in fields(one)}:
                    self.unknown.append(f"{one.__name__}.{name}")
                    return None
                self.read.add((one, name))
                return typing.get_type_hints(one)[name]
        return None

    def call(self, node: nodes.Call, known: dict[str, Kind], imports: dict[str, str]) -> None:
        given = [self.kind(argument, known, imports) for argument in node.args]
        named = {one.key: self.kind(one.value, known, imports) for one in node.kwargs}
        callee = node.node
        if (
            isinstance(callee, nodes.Getattr)
            and isinstance(callee.node, nodes.Name)
            and callee.node.name in imports
        ):
            self.macro(imports[callee.node.name], callee.attr, given, named)
        elif isinstance(callee, nodes.Name):
            self.macro(imports[""], callee.name, given, named)

    def macro(self, file: str, name: str, given: list[Kind], named: dict[str, Kind]) -> None:
        key = (file, name, tuple(map(str, (*given, *named.items()))))
        tree = self.tree(file)
        macro = next((one for one in tree.find_all(nodes.Macro) if one.name == name), None)
        if macro is None or key in self.seen:
            return
        self.seen.add(key)
        known = {argument.name: kind for argument, kind in zip(macro.args, given, strict=False)} | named
        for child in macro.body:
            self.body(child, known, self.imports(file, tree))


def records_of(kind: Kind, found: set[type] | None = None) -> set[type]:
    """A record and every record that it holds."""
    found = set() if found is None else found
    for one in parts_of(kind):
        if isinstance(one, type) and is_dataclass(one) and one not in found:
            found.add(one)
            for hint in typing.get_type_hints(one).values():
                records_of(hint, found)
        for inner in typing.get_args(one):
            records_of(inner, found)
    return found


@pytest.fixture(scope="module")
def followed() -> Follower:
    follower = Follower(templates_dir())
    for name, record in PAGES.items():
        follower.page(name, record)
    return follower


def test_no_template_reads_a_field_that_its_record_has_not(followed: Follower) -> None:
    assert followed.unknown == []


@pytest.mark.parametrize(
    "record", sorted(set().union(*map(records_of, PAGES.values())), key=lambda one: one.__name__)
)
def test_every_declared_field_is_read(followed: Follower, record: type) -> None:
    read = {name for one, name in followed.read if one is record}
    assert {field.name for field in fields(record)} - read == set()


@dataclass(frozen=True)
class Inner:
    shown: str
    idle: str


@dataclass(frozen=True)
class Outer:
    rows: tuple[Inner, ...]
    last: Inner | None


def follow(tmp_path: Path, **files: str) -> Follower:
    for name, text in files.items():
        (tmp_path / f"{name}.html").write_text(text, encoding="utf-8")
    follower = Follower(tmp_path)
    follower.page("page.html", Outer)
    return follower


def test_a_field_that_no_template_reads_is_found(tmp_path: Path) -> None:
    made = follow(tmp_path, page="{% for row in page.rows %}{{ row.shown }}{% endfor %}")
    assert made.read == {(Outer, "rows"), (Inner, "shown")}
    assert made.unknown == []


def test_a_field_that_no_record_has_is_found(tmp_path: Path) -> None:
    made = follow(tmp_path, page="{% if page.last %}{{ page.last.title | upper }}{% endif %}{{ page.first }}")
    assert made.unknown == ["Inner.title", "Outer.first"]


def test_macros_and_parents_are_followed(tmp_path: Path) -> None:
    made = follow(
        tmp_path,
        page='{% extends "base.html" %}{% import "own.html" as o %}{% block b %}{{ o.each(page.rows) }}{% endblock %}',
        base="{{ page.last.idle }}{% block b %}{% endblock %}",
        own="{% macro each(rows) %}{% for row in rows %}{{ one(row) }}{% endfor %}{% endmacro %}"
        "{% macro one(row) %}{{ row.shown }}{% endmacro %}",
    )
    assert made.read == {(Outer, "rows"), (Outer, "last"), (Inner, "idle"), (Inner, "shown")}
