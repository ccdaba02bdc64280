# Writes a C++ source that holds files as text, and in it a function that gives them:
#   cmake "-DFILES=A;B" -DOUT=FILE.cc -DHEADER=sim/command/page_assets.h -DSPACE=sim::command -DFUNCTION=page_assets
#         [-DSHORT=ON] [-DSCRIPT=NAME.js "-DPARTS=C.js;D.js"] -P sim/output/embed.cmake
# SHORT leaves out indents and lines of comments: whoever reads a script has its file.
# SCRIPT joins PARTS, in their order, into one script of that name, which stands first. Parts are modules, each of which
# imports from those before it alone, a line per import; joined they share one scope of their own.
set(ROWS "")
set(TEXTS "")
set(NUMBER 0)
if(SCRIPT)
  set(JOINED "\"use strict\";\n(() => {\n")
  foreach(PART IN LISTS PARTS)
    file(READ ${PART} TEXT)
    string(REGEX REPLACE "\nimport [^\n]*" "" TEXT "\n${TEXT}")
    string(REPLACE "\nexport " "\n" TEXT "${TEXT}")
    string(APPEND JOINED "${TEXT}")
  endforeach()
  cmake_path(GET OUT PARENT_PATH FOLDER)
  file(WRITE ${FOLDER}/${SCRIPT} "${JOINED}})();\n")
  list(PREPEND FILES ${FOLDER}/${SCRIPT})
endif()
foreach(FILE IN LISTS FILES)
  get_filename_component(NAME ${FILE} NAME)
  if(SHORT)
    file(READ ${FILE} TEXT)
    string(REGEX REPLACE "^//[^\n]*" "" TEXT "${TEXT}")
    string(REGEX REPLACE "\n *//[^\n]*" "" TEXT "${TEXT}")
    string(REGEX REPLACE "\n[ \n]+" "\n" TEXT "${TEXT}")
    string(HEX "${TEXT}" HEX)
  else()
    file(READ ${FILE} HEX HEX)
  endif()
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," BYTES "${HEX}")
  string(APPEND TEXTS "constexpr unsigned char kAsset${NUMBER}[] = {${BYTES}};\n")
  string(APPEND ROWS "    output::Asset{\"${NAME}\", text_of_asset(kAsset${NUMBER})},\n")
  math(EXPR NUMBER "${NUMBER} + 1")
endforeach()
file(WRITE ${OUT} "// Written by sim/output/embed.cmake.
#include \"${HEADER}\"

namespace ${SPACE} {
namespace {
${TEXTS}
template <std::size_t kSize>
std::string_view text_of_asset(const unsigned char (&bytes)[kSize]) {
  return {reinterpret_cast<const char*>(bytes), kSize};
}
}  // namespace

std::span<const output::Asset> ${FUNCTION}() {
  static const output::Asset kAssets[] = {
${ROWS}  };
  return kAssets;
}

}  // namespace ${SPACE}
")
