# Builds the reference controller with one mistake each as shared libraries: the bench must catch every mistake.
#
#   faulty_controller(NAME FILE FROM TO [FROM TO])   FILE of controller/ with FROM replaced by TO
#
# FROM must stand exactly once. Where it does not, because the source has changed, the library is left out with a warning
# and tests/sim/study/check/faulty_controllers_test.cc fails until the mistake fits the source again; the program itself
# still builds. A mistake in a header rebuilds every file of the controller, a mistake in a source only that file.
function(faulty_controller NAME FILE)
  set(TREE ${CMAKE_CURRENT_BINARY_DIR}/faulty/${NAME})
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/controller/${FILE})
  file(READ ${CMAKE_SOURCE_DIR}/controller/${FILE} TEXT)
  set(CHANGES ${ARGN})
  while(CHANGES)
    list(POP_FRONT CHANGES FROM TO)
    string(REPLACE "@" ";" FROM "${FROM}")  # a semicolon would end an item of a list
    string(REPLACE "@" ";" TO "${TO}")
    string(FIND "${TEXT}" "${FROM}" AT)
    string(FIND "${TEXT}" "${FROM}" LAST REVERSE)
    if(AT EQUAL -1 OR NOT AT EQUAL LAST)
      message(WARNING "faulty controller ${NAME}: controller/${FILE} no longer holds exactly once: ${FROM}")
      file(REMOVE ${CMAKE_CURRENT_BINARY_DIR}/libfaulty_${NAME}.so)  # left by an earlier build
      return()
    endif()
    string(REPLACE "${FROM}" "${TO}" TEXT "${TEXT}")
  endwhile()

  set(OLD "")
  if(EXISTS ${TREE}/controller/${FILE})
    file(READ ${TREE}/controller/${FILE} OLD)
  endif()
  if(NOT OLD STREQUAL TEXT)  # an unchanged text is not written, so that nothing is rebuilt
    file(WRITE ${TREE}/controller/${FILE} "${TEXT}")
  endif()
  set(SOURCES ${TREE}/controller/${FILE})
  if(FILE MATCHES "\\.h$")
    file(GLOB SOURCES CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/controller/*.cc)
  endif()
  add_library(faulty_${NAME} SHARED ${SOURCES} ${PORT_SOURCES})
  target_include_directories(faulty_${NAME} BEFORE PRIVATE ${TREE})
  target_compile_options(faulty_${NAME} PRIVATE -fno-exceptions -fno-rtti -fvisibility=hidden -fno-threadsafe-statics
    -w)  # a mistake may leave a parameter unused
  target_link_libraries(faulty_${NAME} PRIVATE controller)
  target_link_options(faulty_${NAME} PRIVATE -Wl,-Bsymbolic)
endfunction()

faulty_controller(late delay_law.cc
  "table.delay_time_us + table.reference_lead_us@" "table.delay_time_us + table.reference_lead_us + 500@")
faulty_controller(swapped delay_law.cc
  "law.delivery_us = table.delay_time_us" "law.delivery_us = table.delay_distance_um"
  "law.path_um = table.delay_distance_um" "law.path_um = table.delay_time_us")
faulty_controller(deaf row_controller.cc
  "const std::uint32_t number = row.seeds++@"
  "const std::uint32_t number = row.seeds++@ if (number % 50 == 49) continue@")
faulty_controller(slipped delay_law.cc
  "law.path_um = table.delay_distance_um" "law.path_um = config.theoretical_spacing_um + table.delay_distance_um")
faulty_controller(wrapped ticks.h
  "return static_cast<std::int32_t>(now - then)@"
  "const std::int64_t gone = std::int64_t{now} - std::int64_t{then}@
  return static_cast<std::int32_t>(std::clamp<std::int64_t>(gone, INT32_MIN, INT32_MAX))@")
faulty_controller(no_lag delay_law.cc "law.lag_us = lag_us@" "law.lag_us = lead_us@ static_cast<void>(lag_us)@")
faulty_controller(wrong_sign speed_estimate.cc
  "estimate.speed.value + std::int64_t{estimate.accel_umps2}" "estimate.speed.value - std::int64_t{estimate.accel_umps2}")
faulty_controller(forgetful seed_queue.h
  "seeds_[(first_ + count_) % kCapacity] = seed@" "seeds_[(first_ + count_) % (kCapacity - 1)] = seed@")
faulty_controller(no_number delay_law.cc
  "const std::int64_t speed = at_least_slow(speed_umps)@"
  "const float share = static_cast<float>(accel_umps2) / static_cast<float>(accel_umps2)@
  const std::int64_t speed = at_least_slow(speed_umps + static_cast<std::int32_t>(share) - 1)@")
faulty_controller(silent row_controller.cc
  "const std::uint32_t number = row.seeds++@"
  "const std::uint32_t number = row.seeds++@
    while (number == 100) asm volatile(\"\")@")

# No mistake to be caught: tells the rows a new rate at once, which tests/sim/bench/rate_zones_test.cc holds against the
# reference, whose rows wait for the pressure.
faulty_controller(rows_first rate_change.cc "change.moving = true@" "come(change, report)@")

include(support/mistakes.cmake)

# The smallest controller of the manual, built as the manual says.
add_library(example_controller SHARED ${CMAKE_CURRENT_SOURCE_DIR}/support/example_controller.c)
target_link_libraries(example_controller PRIVATE shared)
