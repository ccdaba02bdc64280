# Builds controllers that do harm as shared libraries: the bench must survive each and name what it did.
#
# Each is the honest core of tests/support/hostile_controllers/core.c with one mischief of that folder: the name of a
# `const struct mischief` there is the name of the library, libhostile_NAME.so. The mischiefs form an archive, so that a
# library takes in only the source that defines its own mischief.
file(GLOB MISCHIEF_SOURCES CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/support/hostile_controllers/*.c
  ${CMAKE_CURRENT_SOURCE_DIR}/support/hostile_controllers/*.cc)
list(FILTER MISCHIEF_SOURCES EXCLUDE REGEX "/core\\.c$")
add_library(mischief STATIC ${MISCHIEF_SOURCES})
target_link_libraries(mischief PRIVATE shared)
# Warnings about this code are right and intended; they are switched off.
target_compile_options(mischief PRIVATE -O1 -Wno-infinite-recursion -fno-sanitize=all)

function(hostile_controllers)
  foreach(NAME IN LISTS ARGN)
    add_library(hostile_${NAME} SHARED ${CMAKE_CURRENT_SOURCE_DIR}/support/hostile_controllers/core.c)
    target_compile_definitions(hostile_${NAME} PRIVATE MISCHIEF=${NAME})
    target_link_libraries(hostile_${NAME} PRIVATE mischief shared Threads::Threads m)
    target_link_options(hostile_${NAME} PRIVATE -Wl,--as-needed)
  endforeach()
endfunction()

hostile_controllers(none prints prints_on_and_on
  exit_0 exit_3 exit_at_once exit_quick gives_up becomes_true ends_at_exit jumps_nowhere jumps_back
  throws_a_number throws_an_error
  loops loops_deaf sleeps naps pauses waits_for_a_byte
  writes_to_null overruns_after overruns_before overruns_far scribbles_on_input scribbles_on_output scribbles_on_stack
  scribbles_on_heap scribbles_on_libc scribbles_on_all scribbles_on_shared recurses divides_by_zero traps
  takes_64_gigabytes hoards wants_4_gigabytes
  rounds_up flushes_to_zero not_a_number returns_garbage counts_too_far uses_channel_200 sets_bridge_77 sends_255_bytes
  raises_sigterm raises_sigstop ends_its_parent kills_its_parent kills_its_group pokes_its_parent forks starts_a_thread
  changes_folder closes_all writes_a_file removes_a_file opens_a_socket
  load_crashes load_gives_up load_exits load_loops describes_nothing describe_crashes describes_elsewhere
  speaks_another_version has_no_tick offers_no_row offers_no_machine init_refuses init_crashes init_keeps_its_own
  init_points_nowhere
  programs_page_999 gives_storage_command_9 erases_what_it_lacks erases_without_waiting wants_a_million_pages)
