# Compiles the files of a target in batches of one folder each, where SILLION_BATCHES is on.
#
#   sillion_batches(TARGET [ALONE FILE...])   FILE relative to the top folder: compiled alone
#
# Two files that declare the same name at the start of a line go to different batches, because what is private to a file
# (its anonymous namespace) is shared within a batch. The names are read when CMake runs: after an edit that gives two
# files of a batch the same private name, the compiler says `redefinition`, and running CMake once more parts them.
set(SILLION_BATCH_FILES 8 CACHE STRING "most files per batch: more compile faster cold, fewer after an edit")

# Sets the variable OUT to the list of names that FILE declares at the start of a line.
function(sillion_declared_names FILE OUT)
  file(STRINGS ${FILE} LINES REGEX "^[a-zA-Z].*")
  set(NAMES "")
  foreach(LINE IN LISTS LINES)
    # The text before the first `(`, `=`, `{`, `[` or `;` ends in the declared name.
    if(LINE MATCHES "^(namespace|using|return|TEST|template|extern|INSTANTIATE)")
      continue()
    elseif(LINE MATCHES "^[^(={;[]*[ *&]([A-Za-z_][A-Za-z0-9_]*) *(\\(|=|{|\\[|:|$|;)")
      list(APPEND NAMES ${CMAKE_MATCH_1})
    endif()
  endforeach()
  list(REMOVE_DUPLICATES NAMES)
  set(${OUT} "${NAMES}" PARENT_SCOPE)
endfunction()

function(sillion_batches TARGET)
  if(NOT SILLION_BATCHES)
    return()
  endif()
  cmake_parse_arguments(ARG "" "" "ALONE" ${ARGN})
  list(TRANSFORM ARG_ALONE PREPEND ${CMAKE_SOURCE_DIR}/)
  get_target_property(FILES ${TARGET} SOURCES)
  foreach(FILE IN LISTS FILES)
    if(FILE IN_LIST ARG_ALONE)
      continue()
    endif()
    cmake_path(GET FILE PARENT_PATH FOLDER)
    cmake_path(RELATIVE_PATH FOLDER BASE_DIRECTORY ${CMAKE_SOURCE_DIR})
    string(MAKE_C_IDENTIFIER ${FOLDER} ROOM)
    sillion_declared_names(${FILE} NAMES)
    # Finds the first batch of the room that is not full and shares no name with the file.
    foreach(INDEX RANGE 1000)
      set(BATCH ${ROOM}_${INDEX})
      list(LENGTH FILES_${BATCH} COUNT)
      if(COUNT EQUAL SILLION_BATCH_FILES)
        continue()
      endif()
      set(SHARED ${NAMES_${BATCH}})
      list(APPEND SHARED ${NAMES})
      list(LENGTH SHARED ALL)
      list(REMOVE_DUPLICATES SHARED)
      list(LENGTH SHARED DISTINCT)
      if(ALL EQUAL DISTINCT)
        break()
      endif()
    endforeach()
    list(APPEND FILES_${BATCH} ${FILE})
    list(APPEND NAMES_${BATCH} ${NAMES})
    set_source_files_properties(${FILE} PROPERTIES UNITY_GROUP ${BATCH})
  endforeach()
  # g++ decides by the name of the compiled file whether a type is its own or a header's; here that file is the batch.
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    target_compile_options(${TARGET} PRIVATE -Wno-subobject-linkage)
  endif()
  set_target_properties(${TARGET} PROPERTIES UNITY_BUILD ON UNITY_BUILD_MODE GROUP)
endfunction()
