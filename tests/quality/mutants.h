// What stands in the instrumented copies of controller/ and sim/measure/ in place of operators,
// constants, conditions and statements (mutate.py writes the copies). One build holds all mutants:
// the environment variable MUTANT says which one is on, and 0 or nothing leaves the program as it
// is. With MUTANT_SEEN a process writes down instead which mutants it met, and counts a mutant as
// met only where its value would have been another one, as far as that can be told on the spot.
//
// In a constant expression nothing is changed: the compiler works it out before a mutant is chosen.
//
// Checked  tests/quality/mutants.sh, whose first run without a mutant has to pass
#pragma once

#include <type_traits>

namespace mut {

extern int active;           // number of the mutant that is on
extern unsigned char* seen;  // per mutant whether it was met; null: nobody wants to know

inline void meet(int id) { seen[id] = 1; }

struct Less {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a < b;
  }
};
struct LessEqual {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a <= b;
  }
};
struct Greater {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a > b;
  }
};
struct GreaterEqual {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a >= b;
  }
};
struct Equal {
  template <class A, class B>
  static constexpr auto of(const A& a, const B& b) {
    return a == b;
  }
};
struct NotEqual {
  template <class A, class B>
  static constexpr auto of(const A& a, const B& b) {
    return a != b;
  }
};
struct Plus {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a + b;
  }
};
struct Minus {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a - b;
  }
};
struct Times {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a * b;
  }
};
struct Over {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a / b;
  }
};
struct Modulo {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a % b;
  }
};
struct BitAnd {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a & b;
  }
};
struct BitOr {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a | b;
  }
};
struct BitXor {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a ^ b;
  }
};
struct ShiftLeft {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a << b;
  }
};
struct ShiftRight {
  template <class A, class B>
  static constexpr auto of(A a, B b) {
    return a >> b;
  }
};

/// Whether a quotient by `b` would stop the program: such a mutant is met without being tried.
template <class Op, class B>
constexpr bool stops(B b) {
  if constexpr ((std::is_same_v<Op, Over> || std::is_same_v<Op, Modulo>) && std::is_integral_v<B>)
    return b == 0;
  else
    return false;
}

/// An operator with two operands; mutant Id + k has the k-th of the others in its place.
template <int Id, class Op, class... Others>
struct Two {
  template <class A, class B>
  static constexpr auto of(const A& a, const B& b) {
    using Result = decltype(Op::of(a, b));
    if (std::is_constant_evaluated()) return Op::of(a, b);
    int k = Id;
    if (seen != nullptr) {
      const Result plain = Op::of(a, b);
      ((stops<Others>(b) || static_cast<Result>(Others::of(a, b)) != plain ? meet(k++) : void(k++)),
       ...);
      return plain;
    }
    if (active < Id || active >= Id + static_cast<int>(sizeof...(Others))) return Op::of(a, b);
    Result changed{};
    ((active == k++ ? void(changed = static_cast<Result>(Others::of(a, b))) : void()), ...);
    return changed;
  }
};

struct AddTo {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a += b;
  }
};
struct TakeFrom {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a -= b;
  }
};
struct Multiply {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a *= b;
  }
};
struct Divide {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a /= b;
  }
};
struct Keep {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a &= b;
  }
};
struct Set {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a |= b;
  }
};
struct Flip {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a ^= b;
  }
};
struct PushLeft {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a <<= b;
  }
};
struct PushRight {
  template <class A, class B>
  static constexpr void of(A& a, const B& b) {
    a >>= b;
  }
};

/// An assignment with an operator.
template <int Id, class Op, class Other>
struct Change {
  template <class A, class B>
  static constexpr A& of(A& a, const B& b) {
    if (!std::is_constant_evaluated()) {
      if (seen != nullptr) meet(Id);
      if (active == Id) {
        Other::of(a, b);
        return a;
      }
    }
    Op::of(a, b);
    return a;
  }
};

/// ++ and --, in front of the operand or behind it.
template <int Id, bool kUp, bool kBehind>
struct Step {
  template <class A>
  static constexpr A of(A& a) {
    bool up = kUp;
    if (!std::is_constant_evaluated()) {
      if (seen != nullptr) meet(Id);
      if (active == Id) up = !up;
    }
    const A before = a;
    if (up)
      ++a;
    else
      --a;
    return kBehind ? before : a;
  }
};

enum Sign { kMinus, kNot, kComplement };

/// A sign in front of an operand; the mutant leaves it out.
template <int Id, Sign kSign>
struct One {
  template <class A>
  static constexpr auto of(const A& a) {
    const auto plain = [&] {
      if constexpr (kSign == kMinus)
        return -a;
      else if constexpr (kSign == kNot)
        return !a;
      else
        return ~a;
    }();
    if (std::is_constant_evaluated()) return plain;
    using Result = std::remove_const_t<decltype(plain)>;
    if (seen != nullptr && static_cast<Result>(a) != plain) meet(Id);
    return active == Id ? static_cast<Result>(a) : plain;
  }
};

/// A constant; mutant Id is one more, Id + 1 (if kZero) is 0, the next (if kNegative) is -value.
template <int Id, bool kZero, bool kNegative, class T>
constexpr T constant(T value) {
  if (std::is_constant_evaluated()) return value;
  if (seen != nullptr)
    for (int k = 0; k < 1 + kZero + kNegative; ++k) meet(Id + k);
  if (active == Id) {
    if constexpr (std::is_enum_v<T>)
      return static_cast<T>(static_cast<std::underlying_type_t<T>>(value) + 1);
    else
      return static_cast<T>(value + 1);
  }
  if (kZero && active == Id + 1) return T{};
  if constexpr (kNegative)
    if (active == Id + 1 + kZero) return static_cast<T>(-value);
  return value;
}

/// A constant; the mutant is 0.
template <int Id, class T>
constexpr T zero(T value) {
  if (std::is_constant_evaluated()) return value;
  if (seen != nullptr) meet(Id);
  return active == Id ? T{} : value;
}

/// true or false as a constant; the mutant is the other one.
template <int Id>
constexpr bool flag(bool value) {
  if (std::is_constant_evaluated()) return value;
  if (seen != nullptr) meet(Id);
  return active == Id ? !value : value;
}

/// A condition; the mutants are always true (if kTrue) and always false (if kFalse).
template <int Id, bool kTrue, bool kFalse>
constexpr bool condition(bool value) {
  if (std::is_constant_evaluated()) return value;
  if (seen != nullptr) {
    if (kTrue && !value) meet(Id);
    if (kFalse && value) meet(Id + kTrue);
  }
  if (kTrue && active == Id) return true;
  if (kFalse && active == Id + kTrue) return false;
  return value;
}

/// a && b is written (enter_and(a) ? b : skip_and()), and the mutant makes it a || b.
template <int Id>
constexpr bool enter_and(bool a) {
  if (std::is_constant_evaluated()) return a;
  if (seen != nullptr) meet(Id);
  return active == Id ? !a : a;
}
template <int Id>
constexpr bool skip_and() {
  if (std::is_constant_evaluated()) return false;
  return active == Id;
}
/// a || b is written (enter_or(a) ? b : skip_or()), and the mutant makes it a && b.
template <int Id>
constexpr bool enter_or(bool a) {
  if (std::is_constant_evaluated()) return !a;
  if (seen != nullptr) meet(Id);
  return active == Id ? a : !a;
}
template <int Id>
constexpr bool skip_or() {
  if (std::is_constant_evaluated()) return true;
  return active != Id;
}

/// A statement; the mutant leaves it out.
template <int Id>
constexpr bool keep() {
  if (std::is_constant_evaluated()) return true;
  if (seen != nullptr) meet(Id);
  return active != Id;
}

/// std::max (kMost) or std::min; the mutant is the other one.
template <int Id, bool kMost, class T>
constexpr T outer(const T& a, const T& b) {
  bool most = kMost;
  if (!std::is_constant_evaluated()) {
    if (seen != nullptr && a != b) meet(Id);
    if (active == Id) most = !most;
  }
  if (most) return a < b ? b : a;
  return b < a ? b : a;
}

/// std::clamp; mutant Id leaves out the lower bound, Id + 1 the upper one.
template <int Id, class T>
constexpr T held(const T& value, const T& least, const T& most) {
  bool lower = true, upper = true;
  if (!std::is_constant_evaluated()) {
    if (seen != nullptr) {
      if (value < least) meet(Id);
      if (most < value) meet(Id + 1);
    }
    lower = active != Id;
    upper = active != Id + 1;
  }
  if (lower && value < least) return least;
  if (upper && most < value) return most;
  return value;
}

}  // namespace mut
