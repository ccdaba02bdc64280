#!/usr/bin/env python3
"""Writes instrumented copies of controller/ and sim/measure/ that hold all their mutants at once.

usage: mutate.py SOURCE_FOLDER OUT_FOLDER [--without FILE]

clang-19 parses each file and prints its syntax tree; what mutants.h offers is put in place of operators, constants,
conditions and statements at the offsets of that tree. OUT_FOLDER gets the copies, with the folders and lines of the
originals, and mutants.tsv: number, file, line, column, operator, the text before and after. --without names places
(file, line) that the compiler refused; they stay as they are and are counted.
"""

import collections
import json
import os
import re
import subprocess
import sys

FOLDERS = {"controller": "controller", "sim/measure": "measure"}  # with the namespace of each
OUTSIDE = {"controller/abi.cc": "sillion_"}  # what of a file stands outside of it

# Name in mutants.h, and what takes its place. Left out is what would mostly be the same again: != in place of < bounds no
# loop otherwise, <= in place of == is none where nothing is below, ^ in place of | is none where no bit is in both.
BINARY = {
    "<": ("Less", ["<=", ">="]), "<=": ("LessEqual", ["<", ">"]), ">": ("Greater", [">=", "<="]),
    ">=": ("GreaterEqual", [">", "<"]), "==": ("Equal", ["!="]), "!=": ("NotEqual", ["=="]),
    "+": ("Plus", ["-", "*"]), "-": ("Minus", ["+", "*"]), "*": ("Times", ["/", "+"]), "/": ("Over", ["*", "-"]),
    "%": ("Modulo", ["/", "*"]), "&": ("BitAnd", ["|"]), "|": ("BitOr", ["&"]), "^": ("BitXor", ["&"]),
    "<<": ("ShiftLeft", [">>"]), ">>": ("ShiftRight", ["<<"]),
}
ASSIGN = {
    "+=": ("AddTo", "-="), "-=": ("TakeFrom", "+="), "*=": ("Multiply", "/="), "/=": ("Divide", "*="),
    "&=": ("Keep", "|="), "|=": ("Set", "&="), "^=": ("Flip", "|="), "<<=": ("PushLeft", ">>="),
    ">>=": ("PushRight", "<<="),
}
# Not-a-number: one more of it and its negative are the same, only 0 is another value.
NO_NUMBER = ("kNone_ratio", "kUndefined_ratio")
RELATIONS = ("<", "<=", ">", ">=", "==", "!=")
SIGNS = {"-": "kMinus", "!": "kNot", "~": "kComplement"}
STATEMENTS = ("BinaryOperator", "CompoundAssignOperator", "CallExpr", "CXXMemberCallExpr", "CXXOperatorCallExpr",
              "UnaryOperator", "ExprWithCleanups")


def kind_of(operator):
    if operator in RELATIONS:
        return "relation"
    return "arithmetic" if operator in ("+", "-", "*", "/", "%") else "bits"


def syntax_trees(root, source, names):
    """The parts of the tree whose qualified names contain one of `names`, with a file at each place."""
    trees = []
    for name in names:
        command = ["clang++-19", "-std=c++20", "-I.", "-DEIGEN_DONT_VECTORIZE", "-isystem", "/usr/include/eigen3",
                   "-fsyntax-only", "-w", "-Xclang", "-ast-dump=json", "-Xclang", "-ast-dump-filter=" + name, source]
        text = subprocess.run(command, cwd=root, check=True, stdout=subprocess.PIPE).stdout.decode()
        decoder = json.JSONDecoder()
        at, state = 0, [None]
        while (at := text.find("{", at)) >= 0:
            tree, at = decoder.raw_decode(text, at)
            name_files(tree, state)
            trees.append(tree)
    return trees


def name_files(node, state):
    """clang prints a file only where it differs from that of the place before."""
    if isinstance(node, list):
        for one in node:
            name_files(one, state)
    elif isinstance(node, dict):
        if "offset" in node:
            if "file" in node:
                state[0] = os.path.normpath(node["file"])
            node["file"] = state[0]
        for key, value in node.items():
            if key != "includedFrom":
                name_files(value, state)


class Mutator:
    def __init__(self, root, without):
        self.root = root
        self.without = without
        self.texts = {}  # file -> bytes
        self.edits = collections.defaultdict(list)  # file -> (offset, rank, deleted bytes, text)
        self.done = set()
        self.mutants = []  # (file, offset, operator, before, after)
        self.skipped = collections.Counter()
        self.depth = 0

    # -- places --

    def place(self, node):
        """(file, begin, end) in bytes, or nothing where a macro or an implicit node stands."""
        begin, end = node.get("range", {}).get("begin", {}), node.get("range", {}).get("end", {})
        if "offset" not in begin or "offset" not in end:
            return None
        name = begin["file"]
        if end["file"] != name or not self.is_ours(name):
            return None
        return name, begin["offset"], end["offset"] + end["tokLen"]

    def is_ours(self, name):
        return name is not None and os.path.dirname(name) in FOLDERS

    def text(self, name):
        if name not in self.texts:
            with open(os.path.join(self.root, name), "rb") as file:
                self.texts[name] = file.read()
        return self.texts[name]

    def line_of(self, name, offset):
        return self.text(name).count(b"\n", 0, offset) + 1

    # -- edits --

    def take(self, place, what):
        """False when this place was done before, or when the compiler refused it."""
        name, begin, end = place
        if (name, begin, end, what) in self.done:
            return False
        self.done.add((name, begin, end, what))
        if (name, self.line_of(name, begin)) in self.without:
            self.skipped["refused by the compiler"] += 1
            return False
        return True

    def wrap(self, place, before, after):
        name, begin, end = place
        self.depth += 1
        self.edits[name].append((begin, (1, self.depth), 0, before))
        self.edits[name].append((end, (0, -self.depth), 0, after))

    def replace(self, name, begin, end, text):
        self.edits[name].append((begin, (2, 0), end - begin, text))

    def add(self, name, offset, operator, changes):
        first = len(self.mutants) + 1
        for before, after in changes:
            self.mutants.append((name, offset, operator, before, after))
        return first

    def source(self, place):
        return re.sub(r"\s+", " ", self.text(place[0])[place[1]:place[2]].decode())

    # -- the walk --

    def walk(self, node, role=None, constant=False):
        """`role`: what the parent makes of this node; `constant`: the compiler has to know its value."""
        if not isinstance(node, dict) or "kind" not in node:
            return
        kind = node["kind"]
        if node.get("isImplicit") and kind.endswith("Decl") and kind != "CXXRecordDecl":
            return
        if kind in ("ConstantExpr", "StaticAssertDecl", "UnaryExprOrTypeTraitExpr", "EnumConstantDecl"):
            constant = True
        if kind == "VarDecl" and node.get("constexpr"):
            constant = True
        if kind == "LambdaExpr":
            constant = False  # its body runs when it is called
        if kind in ("ClassTemplateSpecializationDecl", "BindingDecl"):
            return
        place = self.place(node)
        if kind in ("ImplicitCastExpr", "ExprWithCleanups", "MaterializeTemporaryExpr", "CXXBindTemporaryExpr",
                    "ConstantExpr"):
            for one in node.get("inner", []):
                self.walk(one, role, constant)
            return
        handler = getattr(self, "at_" + kind, None)
        if handler is not None and place is not None:
            handler(node, place, role, constant)
        elif handler is not None and place is None and "Literal" not in kind and self.macro_in_ours(node):
            self.skipped["inside a macro"] += 1
            return
        else:
            self.children(node, constant)

    def macro_in_ours(self, node):
        begin = node.get("range", {}).get("begin", {})
        return self.is_ours(begin.get("expansionLoc", {}).get("file"))

    def children(self, node, constant):
        for one in node.get("inner", []):
            self.walk(one, None, constant)

    def statement(self, node, constant):
        """A statement that may be left out."""
        if not node:
            return
        place = self.place(node)
        kind = node.get("kind")
        if place and not constant:
            if kind in STATEMENTS and self.take(place, "statement"):
                first = self.add(place[0], place[1], "statement", [(self.source(place), "nothing")])
                self.wrap(place, f"(::mut::keep<{first}>() ? static_cast<void>((", ")) : static_cast<void>(0))")
            elif kind in ("BreakStmt", "ContinueStmt") or (kind == "ReturnStmt" and not node.get("inner")):
                end = self.text(place[0]).index(b";", place[2]) + 1
                if self.take(place, "statement"):
                    first = self.add(place[0], place[1], "statement", [(self.source(place), "nothing")])
                    self.wrap((place[0], place[1], end), "{ if (::mut::keep<%d>()) " % first, " }")
        self.walk(node, "statement", constant)

    def condition(self, node, constant, true=True, false=True):
        """A value that is taken as true or false."""
        place = self.place(node)
        plain = self.inside(node)
        if (place and not constant and plain.get("kind") not in ("CXXBoolLiteralExpr", "CXXNullPtrLiteralExpr")
                and self.take(place, "condition")):
            text = self.source(place)
            # Of a && b, `always false` is what a alone gives when it is false; likewise of a || b.
            changes = [(text, "true")] * true + [(text, "false")] * false
            if changes:
                first = self.add(place[0], place[1], "condition", changes)
                self.wrap(place, f"::mut::condition<{first}, {int(true)}, {int(false)}>(static_cast<bool>(", "))")
        self.walk(node, "condition", constant)

    def inside(self, node):
        while node.get("kind") in ("ImplicitCastExpr", "ParenExpr", "ExprWithCleanups") and node.get("inner"):
            node = node["inner"][0]
        return node

    # -- statements --

    def at_CompoundStmt(self, node, place, role, constant):
        for one in node.get("inner", []):
            self.statement(one, constant)

    def at_IfStmt(self, node, place, role, constant):
        inner = node.get("inner", [])
        at = int(node.get("hasInit", False)) + int(node.get("hasVar", False))
        for one in inner[:at]:
            self.walk(one, None, constant)
        if node.get("hasVar") or node.get("isConstexpr"):
            self.walk(inner[at], None, constant)
        else:
            self.condition(inner[at], constant)
        for one in inner[at + 1:]:
            self.statement(one, constant)

    def at_WhileStmt(self, node, place, role, constant):
        inner = node.get("inner", [])
        self.condition(inner[-2], constant)
        self.statement(inner[-1], constant)

    def at_DoStmt(self, node, place, role, constant):
        self.statement(node["inner"][0], constant)
        self.condition(node["inner"][1], constant)

    def at_ForStmt(self, node, place, role, constant):
        first, _, test, step, body = node["inner"]
        self.walk(first, None, constant)
        if test:
            self.condition(test, constant)
        self.statement(step, constant)
        self.statement(body, constant)

    def at_CXXForRangeStmt(self, node, place, role, constant):
        inner = node["inner"]
        self.walk(inner[1], None, constant)
        self.statement(inner[-1], constant)

    def at_SwitchStmt(self, node, place, role, constant):
        for one in node.get("inner", []):
            self.walk(one, None, constant)

    def at_CaseStmt(self, node, place, role, constant):
        self.statement(node["inner"][-1], constant)

    def at_DefaultStmt(self, node, place, role, constant):
        self.statement(node["inner"][-1], constant)

    def at_ReturnStmt(self, node, place, role, constant):
        for one in node.get("inner", []):
            if self.is_bool(one):
                self.condition(one, constant)
            else:
                self.walk(one, None, constant)

    def at_VarDecl(self, node, place, role, constant):
        for one in node.get("inner", []):
            if self.is_bool(node) and "valueCategory" in one:
                self.condition(one, constant)
            else:
                self.walk(one, None, constant)

    def at_FunctionTemplateDecl(self, node, place, role, constant):
        """Only what stands in the file: its instantiations stand at the same places with types of their own."""
        functions = [one for one in node.get("inner", []) if one.get("kind", "").endswith(("FunctionDecl", "MethodDecl"))]
        for one in functions[:1]:
            self.walk(one, None, constant)

    def at_FieldDecl(self, node, place, role, constant):
        self.children(node, constant)

    # -- expressions --

    @staticmethod
    def type_of(node):
        kind = node.get("type", {})
        return kind.get("desugaredQualType", kind.get("qualType", "")).replace("const ", "")

    def is_bool(self, node):
        return self.type_of(node) == "bool"

    def at_ConditionalOperator(self, node, place, role, constant):
        test, yes, no = node["inner"]
        self.condition(test, constant)
        self.walk(yes, None, constant)
        self.walk(no, None, constant)

    def operator_between(self, left, right, operator):
        """Where the operator's token stands between its operands, or nothing."""
        first, second = self.place(left), self.place(right)
        if not first or not second:
            return None
        gap = self.text(first[0])[first[2]:second[1]].decode()
        bare = re.sub(r"//[^\n]*", lambda found: " " * len(found.group()), gap)
        if bare.strip() != operator:
            return None
        at = first[2] + len(bare[:bare.index(operator)].encode())
        return at, at + len(operator)

    def at_BinaryOperator(self, node, place, role, constant):
        operator, (left, right) = node["opcode"], node["inner"]
        if operator in ("&&", "||"):
            self.logical(node, place, role, constant)
            return
        if operator == "=" and self.is_bool(left):
            self.walk(left, None, constant)
            self.condition(right, constant)
            return
        if operator == ",":
            self.statement(left, constant) if role == "statement" else self.walk(left, None, constant)
            self.statement(right, constant) if role == "statement" else self.walk(right, None, constant)
            return
        if operator in BINARY and not constant:
            token = self.operator_between(left, right, operator)
            if token is None:
                self.skipped["inside a macro"] += 1
            elif self.take(place, "binary"):
                others = BINARY[operator][1]
                types = self.type_of(left), self.type_of(right)
                if any("*" in one for one in types):
                    others = [one for one in others if one in RELATIONS or one in ("+", "-")]
                    if all("*" in one for one in types) and operator == "-":
                        others = []
                if others:
                    text = self.source((place[0], *place[1:]))
                    first = self.add(place[0], token[0], kind_of(operator),
                                     [(operator + "  in  " + text, one) for one in others])
                    names = ", ".join("::mut::" + BINARY[one][0] for one in others)
                    self.wrap(place, f"::mut::Two<{first}, ::mut::{BINARY[operator][0]}, {names}>::of(", ")")
                    self.replace(place[0], *token, ",")
        self.walk(left, None, constant)
        self.walk(right, None, constant)

    def logical(self, node, place, role, constant):
        operator, (left, right) = node["opcode"], node["inner"]
        token = self.operator_between(left, right, operator)
        if token is None:
            self.skipped["inside a macro"] += 1
        elif not constant and self.take(place, "binary"):
            other = "||" if operator == "&&" else "&&"
            first = self.add(place[0], token[0], "logic", [(operator + "  in  " + self.source(place), other)])
            name = "and" if operator == "&&" else "or"
            self.wrap(place, f"(::mut::enter_{name}<{first}>(", f") : ::mut::skip_{name}<{first}>())")
            self.replace(place[0], *token, ") ? static_cast<bool>(")
        for one in (left, right):
            self.condition(one, constant, operator == "&&", operator == "||")

    def at_CompoundAssignOperator(self, node, place, role, constant):
        operator, (left, right) = node["opcode"], node["inner"]
        token = self.operator_between(left, right, operator)
        if operator in ASSIGN and token and not constant and self.take(place, "binary"):
            name, other = ASSIGN[operator]
            first = self.add(place[0], token[0], kind_of(operator[:-1]), [(operator + "  in  " + self.source(place), other)])
            opposite = ASSIGN[other][0]
            self.wrap(place, f"::mut::Change<{first}, ::mut::{name}, ::mut::{opposite}>::of(", ")")
            self.replace(place[0], *token, ",")
        self.walk(left, None, constant)
        self.walk(right, None, constant)

    def at_UnaryOperator(self, node, place, role, constant):
        operator, operand = node["opcode"], node["inner"][0]
        if operator == "&":
            return  # the address of a constant is the constant's own
        if operator in ("++", "--") and not constant and self.take(place, "unary"):
            text = self.source(place)
            behind = bool(node.get("isPostfix"))
            at = place[2] - 2 if behind else place[1]
            first = self.add(place[0], at, "arithmetic", [(text, text.replace(operator, "--" if operator == "++" else "++"))])
            up = "true" if operator == "++" else "false"
            self.wrap(place, f"::mut::Step<{first}, {up}, {str(behind).lower()}>::of(", ")")
            self.replace(place[0], at, at + 2, "")
        elif operator in SIGNS and not constant and self.take(place, "unary"):
            text = self.source(place)
            first = self.add(place[0], place[1], "logic" if operator == "!" else kind_of("+" if operator == "-" else "~"),
                             [(text, text[1:])])
            self.wrap(place, f"::mut::One<{first}, ::mut::{SIGNS[operator]}>::of(", ")")
            self.replace(place[0], place[1], place[1] + 1, "")
        if operator == "-":
            self.walk(operand, "negated", constant)
        elif operator == "!":
            self.walk(operand, "condition", constant)
        else:
            self.walk(operand, None, constant)

    def at_CXXBoolLiteralExpr(self, node, place, role, constant):
        if not constant and self.take(place, "constant"):
            text = self.source(place)
            first = self.add(place[0], place[1], "constant", [(text, "false" if text == "true" else "true")])
            self.wrap(place, f"::mut::flag<{first}>(", ")")
        elif constant:
            self.skipped["constant expression"] += 1

    def number(self, node, place, role, constant, value):
        """`value`: of a literal, or nothing where a name stands."""
        if constant:
            self.skipped["constant expression"] += 1
            return
        if not self.take(place, "constant"):
            return
        text, kind = self.source(place), self.type_of(node)
        is_number = re.fullmatch(r"(unsigned |signed )?(char|short|int|long|long long)|double|float", kind) is not None
        zero = is_number and value != 0
        negative = is_number and value != 0 and "unsigned" not in kind and role not in ("negated", "index")
        if text.split("::")[-1] in NO_NUMBER:
            first = self.add(place[0], place[1], "constant", [(text, "0")])
            self.wrap(place, f"::mut::zero<{first}>(", ")")
            return
        changes = [(text, text + " + 1")] + [(text, "0")] * zero + [(text, "-" + text)] * negative
        first = self.add(place[0], place[1], "constant", changes)
        self.wrap(place, f"::mut::constant<{first}, {str(zero).lower()}, {str(negative).lower()}>(", ")")

    def at_IntegerLiteral(self, node, place, role, constant):
        self.number(node, place, role, constant, int(node["value"]))

    def at_FloatingLiteral(self, node, place, role, constant):
        self.number(node, place, role, constant, float(node["value"]))

    def at_DeclRefExpr(self, node, place, role, constant):
        meant = node.get("referencedDecl", {})
        kind = self.type_of(node)
        if meant.get("kind") == "EnumConstantDecl":
            if constant:
                self.skipped["constant expression"] += 1
            elif self.take(place, "constant"):
                text = self.source(place)
                first = self.add(place[0], place[1], "constant", [(text, text + " + 1")])
                self.wrap(place, f"::mut::constant<{first}, false, false>(", ")")
        elif meant.get("kind") == "VarDecl" and re.fullmatch(r"k[A-Z]\w*", meant.get("name", "")):
            if re.fullmatch(r"(unsigned |signed )?(char|short|int|long|long long)|double|float|bool", kind):
                self.number(node, place, role, constant, None)
            elif not constant:
                self.skipped["constant that is no number"] += 1

    def at_ArraySubscriptExpr(self, node, place, role, constant):
        self.walk(node["inner"][0], None, constant)
        self.walk(node["inner"][1], "index", constant)

    def at_CallExpr(self, node, place, role, constant):
        inner = node["inner"]
        callee = self.inside(inner[0])
        name = callee.get("referencedDecl", {}).get("name")
        where = self.place(callee)
        if where and not constant and self.take(place, "call"):
            text = self.source(where)
            found = re.fullmatch(r"std::(max|min|clamp)(<.*>)?", text)
            if found and len(inner) == (4 if name == "clamp" else 3):
                kind = ", " + found.group(2)[1:-1] if found.group(2) else ""
                shown = self.source(place)
                if name == "clamp":
                    first = self.add(place[0], place[1], "extreme",
                                     [("std::clamp  in  " + shown, "without the lower bound"),
                                      ("std::clamp  in  " + shown, "without the upper bound")])
                    self.replace(where[0], where[1], where[2], f"::mut::held<{first}{kind}>")
                else:
                    other = "std::min" if name == "max" else "std::max"
                    first = self.add(place[0], place[1], "extreme", [(f"std::{name}  in  " + shown, other)])
                    most = "true" if name == "max" else "false"
                    self.replace(where[0], where[1], where[2], f"::mut::outer<{first}, {most}{kind}>")
        for one in inner[1:]:
            self.walk(one, None, constant)

    def at_CXXOperatorCallExpr(self, node, place, role, constant):
        inner = node["inner"]
        name = self.inside(inner[0]).get("referencedDecl", {}).get("name", "")
        operator = name[len("operator"):]
        if operator in ("==", "!=") and len(inner) == 3 and not constant:
            token = self.operator_between(inner[1], inner[2], operator)
            if token and self.take(place, "binary"):
                other = BINARY[operator][1][0]
                first = self.add(place[0], token[0], "relation", [(operator + "  in  " + self.source(place), other)])
                self.wrap(place, f"::mut::Two<{first}, ::mut::{BINARY[operator][0]}, ::mut::{BINARY[other][0]}>::of(", ")")
                self.replace(place[0], *token, ",")
        for one in inner[1:]:
            self.walk(one, "index" if operator == "[]" else None, constant)

    # -- what comes out --

    def write(self, out):
        sources = [f"{folder}/{name}" for folder in FOLDERS for name in os.listdir(os.path.join(self.root, folder))
                   if name.endswith((".cc", ".h"))]  # also those without a mutant
        for name in sorted(sources):
            text, pieces, at = self.text(name), [], 0
            for offset, _, deleted, new in sorted(self.edits.get(name, []), key=lambda edit: (edit[0], edit[1])):
                pieces += [text[at:offset], new.encode()]
                at = offset + deleted
            pieces.append(text[at:])
            path = os.path.join(out, name)
            os.makedirs(os.path.dirname(path), exist_ok=True)
            copy = b'#include "tests/quality/mutants.h"\n#line 1 "' + path.encode() + b'"\n' + b"".join(pieces)
            if os.path.exists(path):  # what has not changed keeps its time, and is not compiled again
                with open(path, "rb") as file:
                    if file.read() == copy:
                        continue
            with open(path, "wb") as file:
                file.write(copy)
        with open(os.path.join(out, "mutants.tsv"), "w") as file:
            for number, (name, offset, operator, before, after) in enumerate(self.mutants, 1):
                start = self.text(name).rfind(b"\n", 0, offset)
                file.write("\t".join((str(number), name, str(self.line_of(name, offset)), str(offset - start), operator,
                                      before, after)) + "\n")


def main():
    root, out = sys.argv[1:3]
    without = set()
    if len(sys.argv) > 4:
        with open(sys.argv[4]) as file:
            without = {(name, int(line)) for name, line in (one.split("\t") for one in file.read().splitlines())}
    sys.setrecursionlimit(20000)
    mutator = Mutator(root, without)
    for folder, name in FOLDERS.items():
        for source in sorted(os.listdir(os.path.join(root, folder))):
            if source.endswith(".cc"):
                path = folder + "/" + source
                for tree in syntax_trees(root, path, [name] + [OUTSIDE[one] for one in OUTSIDE if one == path]):
                    mutator.walk(tree)
    mutator.write(out)
    print(f"mutate: {len(mutator.mutants)} mutants in {len(mutator.edits)} files; left as they are:",
          ", ".join(f"{count} {why}" for why, count in sorted(mutator.skipped.items())) or "nothing")


main()
