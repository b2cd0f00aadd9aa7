# cmake -DROOT=dir -DOUT=file.cc -DFILES=a|b|c -P embed.cmake
# writes a source file that defines EmbeddedProcedures(), EmbeddedMethods(), EmbeddedMinimums() and
# EmbeddedTolerances() with the bytes of FILES, whose paths are relative to ROOT. Methods, minimum
# levels and tolerances stand in procedures/methods, procedures/minimums and procedures/tolerances.
string(REPLACE "|" ";" FILES "${FILES}")
set(source "#include \"ratings/procedures.h\"\n\nnamespace ratebound::ratings {\nnamespace {\n\n")
set(entries "")
set(methods "")
set(minimums "")
set(tolerances "")
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
  elseif(file MATCHES "^procedures/tolerances/")
    string(APPEND tolerances "${entry}")
  else()
    string(APPEND entries "${entry}")
  endif()
  math(EXPR index "${index} + 1")
endforeach()
string(APPEND source "\nconstexpr EmbeddedFile kProcedures[] = {\n${entries}};\n"
  "constexpr EmbeddedFile kMethods[] = {\n${methods}};\n\n"
  "constexpr EmbeddedFile kMinimums[] = {\n${minimums}};\n\n"
  "constexpr EmbeddedFile kTolerances[] = {\n${tolerances}};\n\n}  // namespace\n\n"
  "std::span<const EmbeddedFile> EmbeddedProcedures() { return kProcedures; }\n"
  "std::span<const EmbeddedFile> EmbeddedMethods() { return kMethods; }\n"
  "std::span<const EmbeddedFile> EmbeddedMinimums() { return kMinimums; }\n"
  "std::span<const EmbeddedFile> EmbeddedTolerances() { return kTolerances; }\n\n"
  "}  // namespace ratebound::ratings\n")
file(WRITE ${OUT} "${source}")
