# One function for each kind of target. Our own code is compiled with warnings as errors;
# generated code with none.

# a*b+c has two answers under FMA, so contraction is off; Eigen would otherwise block its
# products by the cache sizes of the machine it runs on.
add_library(ratebound_numerics INTERFACE)
target_compile_options(ratebound_numerics INTERFACE -ffp-contract=off)
target_compile_definitions(ratebound_numerics INTERFACE EIGEN_NO_CPUID EIGEN_DONT_PARALLELIZE)

add_library(ratebound_warnings INTERFACE)
target_compile_options(ratebound_warnings INTERFACE
  -Wall -Wextra -Wshadow -Wnon-virtual-dtor -Wextra-semi -Wimplicit-fallthrough -Wno-missing-field-initializers
  -Werror)

add_library(ratebound_instrumentation INTERFACE)
if(RATEBOUND_SANITIZER STREQUAL "address")
  target_compile_options(ratebound_instrumentation INTERFACE
    -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer -g1)
  target_link_options(ratebound_instrumentation INTERFACE -fsanitize=address,undefined)
elseif(RATEBOUND_SANITIZER STREQUAL "thread")
  target_compile_options(ratebound_instrumentation INTERFACE -fsanitize=thread -g1)
  target_link_options(ratebound_instrumentation INTERFACE -fsanitize=thread)
elseif(NOT RATEBOUND_SANITIZER STREQUAL "")
  message(FATAL_ERROR "RATEBOUND_SANITIZER is '${RATEBOUND_SANITIZER}'; expected address or thread")
endif()
if(RATEBOUND_COVERAGE)
  target_compile_options(ratebound_instrumentation INTERFACE --coverage)
  target_link_options(ratebound_instrumentation INTERFACE --coverage)
endif()

function(ratebound_own_code target)
  target_include_directories(${target} PUBLIC ${PROJECT_SOURCE_DIR})
  target_link_libraries(${target} PUBLIC ratebound_numerics ratebound_instrumentation
                                  PRIVATE ratebound_warnings)
endfunction()

# ratebound_library(NAME fit SRCS a.cc HDRS a.h DEPS ratebound::bound)
# makes ratebound_fit, known to others as ratebound::fit.
function(ratebound_library)
  cmake_parse_arguments(arg "" "NAME" "SRCS;HDRS;DEPS;PRIVATE_DEPS" ${ARGN})
  if(arg_SRCS)
    add_library(ratebound_${arg_NAME} STATIC ${arg_SRCS} ${arg_HDRS})
    ratebound_own_code(ratebound_${arg_NAME})
    target_link_libraries(ratebound_${arg_NAME} PUBLIC ${arg_DEPS} PRIVATE ${arg_PRIVATE_DEPS})
  else()
    add_library(ratebound_${arg_NAME} INTERFACE)
    target_include_directories(ratebound_${arg_NAME} INTERFACE ${PROJECT_SOURCE_DIR})
    target_link_libraries(ratebound_${arg_NAME} INTERFACE ratebound_numerics
                          ratebound_instrumentation ${arg_DEPS})
  endif()
  add_library(ratebound::${arg_NAME} ALIAS ratebound_${arg_NAME})
endfunction()

# ratebound_proto_library(NAME proto ROOT dir PROTOS ratebound/v1/a.proto ... [GRPC])
function(ratebound_proto_library)
  cmake_parse_arguments(arg "GRPC" "NAME;ROOT" "PROTOS;IMPORTS;DEPS" ${ARGN})
  set(out ${CMAKE_BINARY_DIR}/generated/${arg_NAME})
  file(MAKE_DIRECTORY ${out})
  set(paths --proto_path=${arg_ROOT})
  foreach(import ${arg_IMPORTS})
    list(APPEND paths --proto_path=${import})
  endforeach()
  set(sources)
  foreach(proto ${arg_PROTOS})
    string(REGEX REPLACE "\\.proto$" "" stem ${proto})
    set(generated ${out}/${stem}.pb.cc ${out}/${stem}.pb.h)
    set(plugin)
    if(arg_GRPC)
      list(APPEND generated ${out}/${stem}.grpc.pb.cc ${out}/${stem}.grpc.pb.h)
      set(plugin --grpc_out=${out} --plugin=protoc-gen-grpc=$<TARGET_FILE:gRPC::grpc_cpp_plugin>)
    endif()
    add_custom_command(
      OUTPUT ${generated}
      COMMAND protobuf::protoc ${paths} --cpp_out=${out} ${plugin} ${proto}
      DEPENDS ${arg_ROOT}/${proto} VERBATIM)
    list(APPEND sources ${generated})
  endforeach()
  add_library(ratebound_${arg_NAME} STATIC ${sources})
  target_include_directories(ratebound_${arg_NAME} SYSTEM PUBLIC ${out})
  target_compile_options(ratebound_${arg_NAME} PRIVATE -w)
  target_link_libraries(ratebound_${arg_NAME} PUBLIC protobuf::libprotobuf ${arg_DEPS}
                        ratebound_instrumentation)
  if(arg_GRPC)
    target_link_libraries(ratebound_${arg_NAME} PUBLIC gRPC::grpc++)
  endif()
  add_library(ratebound::${arg_NAME} ALIAS ratebound_${arg_NAME})
endfunction()

# ratebound_test(NAME fit_test SRCS a_test.cc DEPS ratebound::fit [DATA dir])
# Test data stand in the source tree below tests/; RATEBOUND_SOURCE_DIR finds them.
include(GoogleTest)
function(ratebound_test)
  cmake_parse_arguments(arg "" "NAME" "SRCS;DEPS" ${ARGN})
  add_executable(${arg_NAME} ${arg_SRCS})
  ratebound_own_code(${arg_NAME})
  target_compile_definitions(${arg_NAME} PRIVATE RATEBOUND_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
  target_link_libraries(${arg_NAME} PRIVATE ${arg_DEPS} GTest::gtest_main GTest::gmock)
  gtest_discover_tests(${arg_NAME} NO_PRETTY_VALUES DISCOVERY_TIMEOUT 60 PROPERTIES TIMEOUT 300)
endfunction()

function(ratebound_benchmark)
  cmake_parse_arguments(arg "" "NAME" "SRCS;DEPS" ${ARGN})
  if(RATEBOUND_BENCHMARKS)
    add_executable(${arg_NAME} ${arg_SRCS})
    ratebound_own_code(${arg_NAME})
    target_compile_definitions(${arg_NAME} PRIVATE RATEBOUND_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
    target_link_libraries(${arg_NAME} PRIVATE ${arg_DEPS})
  endif()
endfunction()

function(ratebound_fuzzer)
  cmake_parse_arguments(arg "" "NAME" "SRCS;DEPS" ${ARGN})
  if(RATEBOUND_FUZZERS)
    add_executable(${arg_NAME} ${arg_SRCS})
    ratebound_own_code(${arg_NAME})
    target_compile_options(${arg_NAME} PRIVATE -fsanitize=fuzzer)
    target_link_options(${arg_NAME} PRIVATE -fsanitize=fuzzer)
    target_link_libraries(${arg_NAME} PRIVATE ${arg_DEPS})
  endif()
endfunction()
