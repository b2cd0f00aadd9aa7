# cmake -DROOT=dir -DOUT=file.cc -DFILES=a|b|c -P embed.cmake
# writes a source file that defines EmbeddedProcedures() with the bytes of FILES, whose paths are
# relative to ROOT.
string(REPLACE "|" ";" FILES "${FILES}")
set(source "#include \"ratings/procedures.h\"\n\nnamespace ratebound::ratings {\nnamespace {\n\n")
set(entries "")
set(index 0)
foreach(file ${FILES})
  file(READ ${ROOT}/${file} hex HEX)
  string(REGEX REPLACE "(..)" "'\\\\x\\1'," bytes "${hex}")
  string(APPEND source "constexpr char kFile${index}[] = {${bytes}};\n")
  string(APPEND entries "    {\"${file}\", {kFile${index}, sizeof(kFile${index})}},\n")
  math(EXPR index "${index} + 1")
endforeach()
string(APPEND source "\nconstexpr EmbeddedFile kFiles[] = {\n${entries}};\n\n}  // namespace\n\n"
  "std::span<const EmbeddedFile> EmbeddedProcedures() { return kFiles; }\n\n"
  "}  // namespace ratebound::ratings\n")
file(WRITE ${OUT} "${source}")
