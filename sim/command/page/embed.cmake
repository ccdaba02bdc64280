# Writes a C++ source that holds the page's files as text: cmake -DFILES=A;B -DOUT=FILE.cc -P embed.cmake
set(ROWS "")
set(TEXTS "")
set(NUMBER 0)
foreach(FILE IN LISTS FILES)
  get_filename_component(NAME ${FILE} NAME)
  file(READ ${FILE} HEX HEX)
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," BYTES "${HEX}")
  string(APPEND TEXTS "constexpr unsigned char kAsset${NUMBER}[] = {${BYTES}};\n")
  string(APPEND ROWS "    PageAsset{\"${NAME}\", text_of_asset(kAsset${NUMBER})},\n")
  math(EXPR NUMBER "${NUMBER} + 1")
endforeach()
file(WRITE ${OUT} "// Written by sim/command/page/embed.cmake.
#include \"sim/command/page_assets.h\"

namespace sim::command {
namespace {
${TEXTS}
template <std::size_t kSize>
std::string_view text_of_asset(const unsigned char (&bytes)[kSize]) {
  return {reinterpret_cast<const char*>(bytes), kSize};
}
}  // namespace

std::span<const PageAsset> page_assets() {
  static const PageAsset kAssets[] = {
${ROWS}  };
  return kAssets;
}

}  // namespace sim::command
")
