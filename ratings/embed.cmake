# cmake -DROOT=dir -DOUT=file.cc -DFILES=a|b|c -P embed.cmake
# writes a source file that defines EmbeddedProcedures() and EmbeddedMethods() with the bytes of
# FILES, whose paths are relative to ROOT; methods stand in procedures/methods.
string(REPLACE "|" ";" FILES "${FILES}")
set(source "#include \"ratings/procedures.h\"\n\nnamespace ratebound::ratings {\nnamespace {\n\n")
set(entries "")
set(methods "")
set(index 0)
foreach(file ${FILES})
  file(READ ${ROOT}/${file} hex HEX)
  string(REGEX REPLACE "(..)" "'\\\\x\\1'," bytes "${hex}")
  string(APPEND source "constexpr char kFile${index}[] = {${bytes}};\n")
  set(entry "    {\"${file}\", {kFile${index}, sizeof(kFile${index})}},\n")
  if(file MATCHES "^procedures/methods/")
    string(APPEND methods "${entry}")
  else()
    string(APPEND entries "${entry}")
  endif()
  math(EXPR index "${index} + 1")
endforeach()
string(APPEND source "\nconstexpr EmbeddedFile kProcedures[] = {\n${entries}};\n"
  "constexpr EmbeddedFile kMethods[] = {\n${methods}};\n\n}  // namespace\n\n"
  "std::span<const EmbeddedFile> EmbeddedProcedures() { return kProcedures; }\n"
  "std::span<const EmbeddedFile> EmbeddedMethods() { return kMethods; }\n\n"
  "}  // namespace ratebound::ratings\n")
file(WRITE ${OUT} "${source}")
