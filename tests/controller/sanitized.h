// Whether a sanitizer is compiled in: it owns the heap, pads the stack and calls its own run time.
#pragma once

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define SILLION_SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define SILLION_SANITIZED 1
#endif
#endif
#ifndef SILLION_SANITIZED
#define SILLION_SANITIZED 0
#endif
