# cmake -DROOT=dir -DOUT=file.cc -DFILES=a|b|c -P embed.cmake
# writes a source file that defines EmbeddedProcedures(), EmbeddedMethods() and EmbeddedMinimums() with the bytes of
# FILES, whose paths are relative to ROOT; methods stand in procedures/methods, minimum levels in
# procedures/minimums.
string(REPLACE "|" ";" FILES "${FILES}")
set(source "#include \"ratings/procedures.h\"\n\nnamespace ratebound::ratings {\nnamespace {\n\n")
set(entries "")
set(methods "")
set(minimums "")
set(index 0)
foreach(file ${FILES})
  file(READ ${ROOT}/${file} hex HEX)
  string(REGEX REPLACE "(..)" "'\\\\x\\1'," bytes "${hex}")
  string(APPEND source "constexpr char kFile${index}[] = {${bytes}};\n")
  set(entry "    {\"${file}\", {kFile${index}, sizeof(kFile${index})}},\n")
  if(file MATCHES "^procedures/methods/")
    string(APPEND methods "${entry}")
  elseif(file MATCHES "^procedures/minimums/")
    string(APPEND minimums "${entry}")
  else()
    string(APPEND entries "${entry}")
  endif()
  math(EXPR index "${index} + 1")
endforeach()
string(APPEND source "\nconstexpr EmbeddedFile kProcedures[] = {\n${entries}};\n"
  "constexpr EmbeddedFile kMethods[] = {\n${methods}};\n\n"
  # An array has at least one element; the first of this one is left out below.
  "constexpr EmbeddedFile kMinimums[] = {\n    {},\n${minimums}};\n\n}  // namespace\n\n"
  "std::span<const EmbeddedFile> EmbeddedProcedures() { return kProcedures; }\n"
  "std::span<const EmbeddedFile> EmbeddedMethods() { return kMethods; }\n"
  "std::span<const EmbeddedFile> EmbeddedMinimums() { return std::span(kMinimums).subspan(1); }\n\n"
  "}  // namespace ratebound::ratings\n")
file(WRITE ${OUT} "${source}")
