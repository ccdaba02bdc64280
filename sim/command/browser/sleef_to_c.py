"""Writes the scalar functions of the packaged SLEEF as C++, from the machine code of its library.

    python3 sleef_to_c.py LIBRARY OUT.cc FUNCTION...

Debian packages SLEEF as a library for the processor and not as source, and the module for the browser has to give its
bits. Each instruction becomes one C++ statement over registers that are local variables, so that every rounding is the
library's own; the compiler folds the rest away. Constants come from the library's read-only section. Tables for the
reduction of huge angles stay out: an angle that needs them (above 1e14) gives not-a-number.

Errors   an instruction or operand that is not known ends the program with its text; only x86-64 is read
Checked  tests/sim/command/row_module_slow_test.cc, against the library over many arguments
"""
import os
import re
import struct
import subprocess
import sys

SMALL_TABLE = 16 * 8  # bytes kept behind an address that code indexes; the tables of angles are longer and stay out
STACK = 4096  # bytes; the functions keep less than 400 there, some of them below the stack pointer

QUADS = "rax rbx rcx rdx rsi rdi rbp rsp r8 r9 r10 r11 r12 r13 r14 r15".split()
LONGS = "eax ebx ecx edx esi edi ebp esp r8d r9d r10d r11d r12d r13d r14d r15d".split()
BYTES = "al bl cl dl sil dil bpl spl r8b r9b r10b r11b r12b r13b r14b r15b".split()
SIZES = {name: (QUADS[at], bits) for names, bits in ((QUADS, 64), (LONGS, 32), (BYTES, 8)) for at, name in enumerate(names)}
COMPARED = {"eq": "a == b", "lt": "a < b", "le": "a <= b", "unord": "!(a == a && b == b)", "neq": "!(a == b)",
            "nlt": "!(a < b)", "nle": "!(a <= b)", "ord": "a == a && b == b"}
CONDITIONS = {"a": "!cf && !zf", "ae": "!cf", "b": "cf", "be": "cf || zf", "e": "zf", "ne": "!zf", "p": "pf", "np": "!pf",
              "s": "sf", "ns": "!sf", "g": "!zf && sf == of", "ge": "sf == of", "l": "sf != of", "le": "zf || sf != of"}
ARITHMETIC = {"add": "a + b", "sub": "a - b", "mul": "a * b", "div": "a / b", "max": "a > b ? a : b", "min": "a < b ? a : b",
              "sqrt": "__builtin_sqrt(b)"}
LOGIC = {"and": "{d} & {s}", "or": "{d} | {s}", "xor": "{d} ^ {s}", "andn": "~{d} & {s}"}

HEAD = """// Written by sim/command/browser/sleef_to_c.py from the machine code of the packaged SLEEF.
#include <cstdint>
#include <cstring>
#include <bit>

namespace {{

using u8 = std::uint8_t;
using u32 = std::uint32_t;
using u64 = std::uint64_t;
using i32 = std::int32_t;
using i64 = std::int64_t;

inline double d(u64 bits) {{ return std::bit_cast<double>(bits); }}
inline u64 u(double value) {{ return std::bit_cast<u64>(value); }}
inline u64 mask(bool on) {{ return on ? ~u64{{0}} : 0; }}
inline i32 whole32(double x) {{ return x > -2147483649.0 && x < 2147483648.0 ? (i32)x : INT32_MIN; }}
inline i64 whole64(double x) {{ return x >= -0x1p63 && x < 0x1p63 ? (i64)x : INT64_MIN; }}
inline u64 pair(u32 low, u32 high) {{ return (u64)high << 32 | low; }}

constexpr u64 kStack = {stack};
struct Kept {{ u64 from; u64 bytes; const u64* words; }};
{tables}
const Kept kKept[] = {{{kept}}};

/// Words of the read-only section that an index reaches; not-a-number where they were left out.
inline u64 table(u64 at) {{
  for (const Kept& one : kKept)
    if (at >= one.from && at + 8 <= one.from + one.bytes && (at - one.from) % 8 == 0) return one.words[(at - one.from) / 8];
  return ~u64{{0}};
}}
struct Stack {{
  u64 words[kStack / 8];
  u64 load(u64 at) const {{ return words[at / 8 % (kStack / 8)]; }}
  void store(u64 at, u64 value) {{ words[at / 8 % (kStack / 8)] = value; }}
}};
inline u64 load(const Stack& stack, u64 at) {{ return at < kStack ? stack.load(at) : table(at); }}

}}  // namespace
"""


def fail(words):
    sys.exit("sleef_to_c.py: " + words)


def run(*words):
    return subprocess.run(words, text=True, capture_output=True, check=True, env={**os.environ, "LC_ALL": "C"}).stdout


def split_operands(text):
    return [one.strip() for one in re.split(r",(?![^(]*\))", text) if one.strip()]


class Function:
    """Statements of one function."""

    def __init__(self, library, name, data):
        self.data = data
        self.indexed = set()
        self.lines = []
        self.doubles = 2 if re.search("pow|atan2", name) else 1
        symbols = run("objdump", "-T", library)
        symbol = re.search(rf"^([0-9a-f]+) .*\.text\t([0-9a-f]+) .*\b{name}$", symbols, re.M) or fail(f"{library} has no {name}")
        start, size = int(symbol[1], 16), int(symbol[2], 16)
        listing = run("objdump", "-d", "--no-show-raw-insn", f"--start-address={start}", f"--stop-address={start + size}", library)
        code = re.findall(r"^ +([0-9a-f]+):\t([a-z0-9 ]+?)(?: +(.*?))?\s*$", listing, re.M)
        code = [(int(at, 16), word, re.sub(r"\s*[#<].*", "", rest)) for at, word, rest in code]
        self.targets = {int(rest, 16) for _, word, rest in code if word.startswith("j")}
        self.here = 0
        self.ends = [at for at, _, _ in code[1:]] + [0]
        for (at, word, rest), self.next in zip(code, self.ends):
            if at in self.targets:
                self.lines.append(f"L{at:x}:;")
            self.instruction(word, split_operands(rest))

    def address(self, text):
        """An address as an expression, and as a number where the instruction states it."""
        if match := re.fullmatch(r"(-?0x[0-9a-f]+)\(%rip\)", text):
            at = self.next + int(match[1], 16)
            return f"{at}ull", at
        match = re.fullmatch(r"(-?(?:0x)?[0-9a-f]+)?\((%\w+)?(?:,(%\w+),(\d))?\)", text) or fail("operand " + text)
        terms = [f"(u64){int(match[1], 16)}"] if match[1] else []
        terms += [match[2][1:]] if match[2] else []
        terms += [f"{match[3][1:]} * {match[4]}"] if match[3] else []
        return " + ".join(terms), None

    def word(self, text, offset=0):
        """A 64-bit word of memory."""
        expression, at = self.address(text)
        if at is not None:
            return f"0x{struct.unpack_from('<Q', self.data, at + offset)[0]:x}ull"
        return f"load(stack, {expression} + {offset})"

    def low(self, text):
        return f"{text[1:]}l" if text.startswith("%xmm") else self.word(text)

    def high(self, text):
        return f"{text[1:]}h" if text.startswith("%xmm") else self.word(text, 8)

    def integer(self, text):
        """The value of an operand, and its width if it states one."""
        if text.startswith("$"):
            return f"(u64){int(text[1:], 16)}ll" if "-" in text else f"{int(text[1:], 16)}ull", 0
        if text.startswith("%"):
            name, bits = SIZES.get(text[1:]) or fail("register " + text)
            return (name if bits == 64 else f"(u{bits}){name}"), bits
        return self.word(text), 0

    def put(self, text, value):
        if not text.startswith("%"):
            return f"stack.store({self.address(text)[0]}, {value});"
        name, bits = SIZES.get(text[1:]) or fail("register " + text)
        if bits == 8:
            return f"{name} = ({name} & ~u64{{255}}) | (u8)({value});"
        return f"{name} = (u{bits})({value});"

    def emit(self, text):
        self.lines.append("  " + text)

    def instruction(self, word, on):
        if word in ("ret", "repz ret"):
            return self.emit("return d(xmm0l);")
        if word in ("nop", "nopw", "nopl", "data16", "xchg", "cs nopw", "data16 cs nopw") or word.endswith("nopw"):
            return None
        if word == "jmp":
            return self.emit(f"goto L{int(on[0], 16):x};")
        if word[0] == "j":
            return self.emit(f"if ({CONDITIONS[word[1:]]}) goto L{int(on[0], 16):x};")
        if word.startswith("set"):
            return self.emit(self.put(on[0], CONDITIONS[word[3:]]))
        if word.startswith("cmov"):
            value = f"({CONDITIONS[word[4:]]}) ? ({self.integer(on[0])[0]}) : ({self.integer(on[1])[0]})"
            return self.emit(self.put(on[1], value))
        if any("%xmm" in one for one in on):
            return self.vector(word, on)
        return self.scalar(word, on)

    def scalar(self, word, on):
        if word == "push":
            return self.emit(f"rsp -= 8; stack.store(rsp, {on[0][1:]});")
        if word == "pop":
            return self.emit(f"{on[0][1:]} = stack.load(rsp); rsp += 8;")
        if word in ("mov", "movabs", "movzbl", "movl", "movq"):
            return self.emit(self.put(on[1], self.integer(on[0])[0]))
        if word == "lea":
            expression, at = self.address(on[0])
            if at is not None:
                self.indexed.add(at)
            return self.emit(self.put(on[1], expression))
        if word in ("shl", "shr", "sar", "neg") and len(on) == 1:
            on = ["$0x1"] + on
        value, _ = self.integer(on[0])
        target, bits = self.integer(on[1])
        bits = bits or 64
        kind, signed = f"u{bits}", f"i{bits}" if bits > 8 else "std::int8_t"
        begin = f"{{ const {kind} a = ({kind})({target}), b = ({kind})({value}); (void)b; const {kind} r = ({kind})("
        flags = f"zf = r == 0; sf = ({signed})r < 0; "
        operations = {"add": "a + b", "sub": "a - b", "cmp": "a - b", "and": "a & b", "test": "a & b", "or": "a | b",
                      "xor": "a ^ b", "shl": "a << b", "shr": "a >> b", "sar": f"({signed})a >> b", "neg": "0 - a"}
        operation = operations.get(word) or fail("instruction " + word)
        if word in ("sub", "cmp"):
            flags += f"cf = a < b; of = (({signed})((a ^ b) & (a ^ r))) < 0; "
        elif word in ("and", "test", "or", "xor"):
            flags += "cf = false; of = false; "
        store = "" if word in ("cmp", "test") else self.put(on[1], "r")
        return self.emit(begin + operation + "); " + flags + store + " }")

    def vector(self, word, on):
        source, target = on[-2], on[-1]
        to = target[1:]
        if match := re.fullmatch(r"cmp(eq|lt|le|unord|neq|nlt|nle|ord)(sd|pd)", word):
            compared = COMPARED[match[1]]
            for part, get in (("l", self.low), ("h", self.high))[: 1 if match[2] == "sd" else 2]:
                self.emit(f"{{ const double a = d({to}{part}), b = d({get(source)}); {to}{part} = mask({compared}); }}")
        elif match := re.fullmatch(r"(add|sub|mul|div|max|min|sqrt)(sd|pd)", word):
            sum_of = ARITHMETIC[match[1]]
            reads = [("l", self.low(source)), ("h", self.high(source) if match[2] == "pd" else "")]
            for part, read in reads[: 1 if match[2] == "sd" else 2]:
                self.emit(f"{{ const double a = d({to}{part}), b = d({read}); (void)a; {to}{part} = u({sum_of}); }}")
        elif match := re.fullmatch(r"p?(andn|and|or|xor)(pd|ps)?", word):
            for part, read in (("l", self.low(source)), ("h", self.high(source))):
                self.emit(f"{to}{part} = " + LOGIC[match[1]].format(d=to + part, s=read) + ";")
        elif word in ("movapd", "movaps", "movdqa", "movupd", "movdqu", "movups"):
            low, high = self.low(source), self.high(source)
            if target.startswith("%"):
                self.emit(f"{to}l = {low}; {to}h = {high};")
            else:
                at = self.address(target)[0]
                self.emit(f"stack.store({at}, {low}); stack.store({at} + 8, {high});")
        elif word in ("movsd", "movq", "movd"):
            self.move(word, source, target)
        elif word in ("unpcklpd", "punpcklqdq"):
            self.emit(f"{to}h = {self.low(source)};")
        elif word == "movlpd" and target.startswith("%xmm"):
            self.emit(f"{to}l = {self.low(source)};")
        elif word == "movhpd" and target.startswith("%xmm"):
            self.emit(f"{to}h = {self.low(source)};")
        elif word in ("unpckhpd", "punpckhqdq"):
            self.emit(f"{to}l = {to}h; {to}h = {self.high(source)};")
        elif word == "movhlps":
            self.emit(f"{to}l = {self.high(source)};")
        elif word == "shufpd":
            order = int(on[0][1:], 16)
            parts = (self.low(source), self.high(source))
            self.emit(f"{{ const u64 a = {to}{'lh'[order & 1]}, b = {parts[order >> 1 & 1]}; {to}l = a; {to}h = b; }}")
        elif word == "pshufd":
            order, words = int(on[0][1:], 16), (self.low(source), self.high(source))
            picks = [f"(u32)({words[(order >> 2 * k & 3) // 2]} >> {32 * ((order >> 2 * k & 3) % 2)})" for k in range(4)]
            self.emit(f"{{ const u64 a = pair({picks[0]}, {picks[1]}), b = pair({picks[2]}, {picks[3]}); {to}l = a; {to}h = b; }}")
        elif word == "paddd":
            for part, read in (("l", self.low(source)), ("h", self.high(source))):
                self.emit(f"{to}{part} = pair((u32){to}{part} + (u32)({read}), (u32)({to}{part} >> 32) + (u32)({read} >> 32));")
        elif word == "cvttsd2si":
            self.emit(self.put(target, f"whole{SIZES[to][1]}(d({self.low(source)}))"))
        elif word == "cvtsi2sd":
            value, bits = self.integer(source)
            self.emit(f"{to}l = u((double)(i{bits}){value});")
        elif word == "cvttpd2dq":
            self.emit(f"{{ const u64 a = pair((u32)whole32(d({self.low(source)})), (u32)whole32(d({self.high(source)}))); "
                      f"{to}l = a; {to}h = 0; }}")
        elif word == "cvtdq2pd":
            self.emit(f"{{ const u64 a = {self.low(source)}; {to}l = u((double)(i32)(u32)a); {to}h = u((double)(i32)(u32)(a >> 32)); }}")
        elif word == "movmskpd":
            self.emit(self.put(target, f"{source[1:]}l >> 63 | {source[1:]}h >> 63 << 1"))
        elif word == "ucomisd" or word == "comisd":
            self.emit(f"{{ const double a = d({to}l), b = d({self.low(source)}); const bool n = !(a == a && b == b); "
                      "zf = n || a == b; cf = n || a < b; pf = n; sf = of = false; }")
        else:
            fail(f"instruction {word} {', '.join(on)}")

    def move(self, word, source, target):
        to = target[1:]
        if target.startswith("%xmm"):
            if source.startswith("%xmm"):
                clears = "" if word == "movsd" else f" {to}h = 0;"
                self.emit(f"{to}l = {source[1:]}l;{clears}")
            else:
                value = self.integer(source)[0] if source.startswith("%") else self.word(source)
                self.emit(f"{to}l = {'(u32)' if word == 'movd' else ''}{value}; {to}h = 0;")
        elif target.startswith("%"):
            self.emit(self.put(target, f"{source[1:]}l"))
        else:
            self.emit(f"stack.store({self.address(target)[0]}, {source[1:]}l);")

    def text(self, name):
        arguments = ", ".join(f"double given{k}" for k in range(self.doubles))
        vectors = ", ".join(f"xmm{k}{part} = 0" for k in range(16) for part in "lh")
        given = " ".join(f"xmm{k}l = u(given{k});" for k in range(self.doubles))
        general = ", ".join(f"{one} = 0" for one in QUADS if one != "rsp")
        return (f'\nextern "C" double {name}({arguments}) {{\n  Stack stack;\n  u64 {vectors};\n  u64 {general}, rsp = kStack / 2;\n'
                f"  bool cf = false, zf = false, sf = false, of = false, pf = false;\n  {given}\n" + "\n".join(self.lines) + "\n}\n")


def main(library, out, names):
    with open(library, "rb") as file:
        data = file.read()
    if data[:5] != b"\x7fELF\x02" or struct.unpack_from("<H", data, 18)[0] != 62:
        fail(f"{library} is no library for x86-64")
    functions = [(name, Function(library, name, data)) for name in names]
    kept = sorted({at for _, one in functions for at in one.indexed})
    tables, entries = [], []
    for at in kept:
        words = struct.unpack_from(f"<{SMALL_TABLE // 8}Q", data, at)
        tables.append(f"const u64 kTable{at:x}[] = {{" + ", ".join(f"0x{one:x}ull" for one in words) + "};")
        entries.append(f"{{{at}ull, {SMALL_TABLE}, kTable{at:x}}}")
    head = HEAD.format(stack=STACK, tables="\n".join(tables), kept=", ".join(entries))
    with open(out, "w", encoding="utf-8") as file:
        file.write(head + "".join(one.text(name) for name, one in functions))


if __name__ == "__main__":
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2], sys.argv[3:])
