"""Every decision of a package as a rule that can be watched and switched off.

Comes in: the name of a package, before it is imported. Goes out: `RUNTIME`, which knows all rules of its
modules, notes by which case each decides anything, and switches one of them off. Changes no file; reads no
sheet.

A rule is a condition (switched off it is never true, or always), one operand of `and` or `or` (switched off
it is left out), a condition of a comprehension (left out), or a function that gives back what it was given
(then it gives it back unchanged). An operand decides where the rest without it would say otherwise.
"""

from __future__ import annotations

import ast
import functools
import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from types import CodeType
from typing import Any

HOOK = "__ablation__"
ALWAYS, ELSE_EVERY = 100, 101
"""So often in a case it is asked whether an operand decides, later each so many times: asking costs time."""
NOT_IN_A_LAMBDA = (ast.NamedExpr, ast.Yield, ast.YieldFrom, ast.Await)


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing that can be switched off: where it stands, what is left out, its text."""

    number: int
    effect: str
    place: str
    function: str
    text: str


class Runtime:
    """All rules, what was seen of them, and which one is off."""

    def __init__(self) -> None:
        self.rules: list[Rule] = []
        self.seen: dict[tuple[int, str], set[str]] = defaultdict(set)
        self.entered: dict[str, set[str]] = {}
        self.asked: Counter[tuple[int, str]] = Counter()
        self.case = ""
        self.watching = False
        self.off: tuple[int, str] = (-1, "")

    def added(self, effects: Sequence[str], place: str, function: str, text: str) -> int:
        """The number of a new rule."""
        number = self.rules[-1].number + 1 if self.rules else 0
        self.rules += [Rule(number, effect, place, function, text) for effect in effects]
        return number

    def noted(self, number: int, effect: str) -> None:
        """The case at hand depends on this rule."""
        if self.watching:
            self.seen[number, effect].add(self.case)

    def enter(self, place: str) -> None:
        """A function is called."""
        if self.watching:
            self.entered.setdefault(place, set()).add(self.case)

    def test(self, number: int, value: Any) -> Any:
        """A condition, unless it is off."""
        if self.off[0] == number:
            return self.off[1] == "always"
        self.noted(number, "never" if value else "always")
        return value

    def joined(self, number: int, stops: bool, operands: Sequence[Callable[[], Any]]) -> Any:
        """`and` (stops at false) or `or` (stops at true) without the operand that is off."""
        value: Any = not stops
        for place, operand in enumerate(operands):
            if self.off[0] == number + place:
                continue
            value = operand()
            if bool(value) is stops:
                self._note_deciding(number, stops, operands, place)
                break
        return value

    def _note_deciding(
        self, number: int, stops: bool, operands: Sequence[Callable[[], Any]], place: int
    ) -> None:
        """Note the operand that stopped, if all behind it would not have."""
        if not self.watching or self.case in self.seen[number + place, "left out"]:
            return
        self.asked[number + place, self.case] += 1
        if (asked := self.asked[number + place, self.case]) > ALWAYS and asked % ELSE_EVERY:
            return
        self.watching = False
        try:
            decides = all(bool(operand()) is not stops for operand in operands[place + 1 :])
        except Exception:  # noqa: BLE001 - what this operand keeps from being asked fails: it decides
            decides = True
        self.watching = True
        if decides:
            self.noted(number + place, "left out")

    def rewriting(self, number: int) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """A function that gives back what came in, unless it is off."""

        def wrapped(function: Callable[..., Any]) -> Callable[..., Any]:
            @functools.wraps(function)
            def call(*given: Any, **named: Any) -> Any:
                if self.off[0] == number and given:
                    return given[0]
                result = function(*given, **named)
                if self.watching and given and result != given[0]:
                    self.noted(number, "unchanged")
                return result

            return call

        return wrapped

    @contextmanager
    def watched(self, case: str) -> Iterator[None]:
        """Note what decides while a case runs."""
        forget_answers()
        self.case, self.watching = case, True
        try:
            yield
        finally:
            self.watching = False

    @contextmanager
    def without(self, rule: Rule) -> Iterator[None]:
        """Run with one rule off."""
        forget_answers()
        self.off = (rule.number, rule.effect)
        try:
            yield
        finally:
            self.off = (-1, "")
            forget_answers()


RUNTIME = Runtime()


def forget_answers() -> None:
    """Empty the memories of functions, so that every case asks again; what takes no argument stays: a
    file that is read once."""
    ours = [module for module in [*sys.modules.values()] if vars(module).get(HOOK) is RUNTIME]
    remembering = {
        id(one): one for module in ours for one in vars(module).values() if hasattr(one, "cache_clear")
    }
    for function in remembering.values():
        if function.__wrapped__.__code__.co_argcount:
            function.cache_clear()


class _Marking(ast.NodeTransformer):
    """A module whose decisions ask RUNTIME."""

    def __init__(self, module: str) -> None:
        self.module = module
        self.within: list[str] = []
        self.in_class = False

    def _number(self, node: ast.AST, effects: Sequence[str], text: str = "") -> int:
        shown = " ".join((text or ast.unparse(node)).split())[:90]
        return RUNTIME.added(
            effects, f"{self.module}:{getattr(node, 'lineno', 0)}", ".".join(self.within), shown
        )

    def _asked(self, test: ast.expr, effects: Sequence[str]) -> ast.expr:
        """A condition that asks."""
        number = self._number(test, effects)
        return _call("test", ast.Constant(number), self.visit(test))

    def visit_If(self, node: ast.If) -> ast.AST:
        node.test = self._asked(node.test, ("never", "always"))
        node.body = [self.visit(one) for one in node.body]
        node.orelse = [self.visit(one) for one in node.orelse]
        return node

    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        node.test = self._asked(node.test, ("never", "always"))
        node.body, node.orelse = self.visit(node.body), self.visit(node.orelse)
        return node

    def visit_comprehension(self, node: ast.comprehension) -> ast.AST:
        node.iter = self.visit(node.iter)
        node.ifs = [self._asked(one, ("always",)) for one in node.ifs]
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        if self.in_class or any(
            isinstance(one, NOT_IN_A_LAMBDA) or (isinstance(one, ast.Name) and one.id == "super")
            for one in ast.walk(node)
        ):
            return self.generic_visit(node)
        numbers = [self._number(one, ("left out",)) for one in node.values]
        empty = ast.arguments([], [], None, [], [], None, [])
        operands = [ast.Lambda(empty, self.visit(one)) for one in node.values]
        stops = ast.Constant(isinstance(node.op, ast.Or))
        return _call("joined", ast.Constant(numbers[0]), stops, ast.Tuple(operands, ast.Load()))

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        before, self.in_class = self.in_class, True
        self.within.append(node.name)
        self.generic_visit(node)
        self.within.pop()
        self.in_class = before
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        before, self.in_class = self.in_class, False
        self.within.append(node.name)
        place = f"{self.module}:{node.lineno} {'.'.join(self.within)}"
        RUNTIME.entered.setdefault(place, set())
        if _gives_back(node):
            number = self._number(node, ("unchanged",), node.name)
            node.decorator_list.append(_call("rewriting", ast.Constant(number)))
        body = [self.visit(one) for one in node.body]
        told = isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant)
        body.insert(int(told), ast.Expr(_call("enter", ast.Constant(place))))
        node.body = body
        self.within.pop()
        self.in_class = before
        return node


def _gives_back(node: ast.FunctionDef) -> bool:
    """Whether a function returns the type of its first parameter, which is ours."""
    first = [*node.args.posonlyargs, *node.args.args][:1]
    if not first or first[0].annotation is None or node.returns is None:
        return False
    kind = ast.unparse(node.returns)
    return kind == ast.unparse(first[0].annotation) and kind not in {"float", "int", "bool"}


def _call(method: str, *given: ast.expr) -> ast.Call:
    """A call of RUNTIME."""
    owner = ast.Attribute(ast.Name(HOOK, ast.Load()), method, ast.Load())
    return ast.Call(owner, list(given), [])


class _Loader(SourceFileLoader):
    """Loads a module with its decisions marked; writes no compiled file."""

    def get_code(self, fullname: str) -> CodeType:
        """The code of a module."""
        tree = _Marking(fullname).visit(ast.parse(self.get_data(self.path), self.path))
        top = next((i for i, one in enumerate(tree.body) if not _stays_first(one)), len(tree.body))
        tree.body.insert(top, ast.parse(f"from bench.ablation_rules import RUNTIME as {HOOK}").body[0])
        code = compile(ast.fix_missing_locations(tree), self.path, "exec", dont_inherit=True)
        assert isinstance(code, CodeType)
        return code


def _stays_first(node: ast.stmt) -> bool:
    """A docstring, or an import from the future."""
    return (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)) or (
        isinstance(node, ast.ImportFrom) and node.module == "__future__"
    )


class Finder(MetaPathFinder):
    """Finds the modules to be marked: those below `prefixes`, without `left`."""

    def __init__(self, prefixes: Sequence[str], left: Sequence[str] = ()) -> None:
        self.prefixes, self.left = tuple(prefixes), tuple(left)

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> ModuleSpec | None:
        """The module as Python finds it, with our loader."""
        if not _is_below(fullname, self.prefixes) or _is_below(fullname, self.left):
            return None
        spec = PathFinder.find_spec(fullname, path, target)
        if spec is None or not isinstance(spec.loader, SourceFileLoader):
            return spec
        spec.loader = _Loader(fullname, spec.loader.path)
        return spec


def _is_below(name: str, prefixes: tuple[str, ...]) -> bool:
    return any(name == prefix or name.startswith(prefix + ".") for prefix in prefixes)
