# Warnings and sanitizers, the same for every target of ours.
add_library(loftledger_settings INTERFACE)
target_compile_options(loftledger_settings INTERFACE
  -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor -Wold-style-cast
  # GCC 12 warns of overlaps in std::string's own code that cannot be (GCC bug 105651).
  $<$<AND:$<CXX_COMPILER_ID:GNU>,$<CONFIG:Release>>:-Wno-restrict>
  $<$<BOOL:${LOFTLEDGER_WERROR}>:-Werror>)
target_include_directories(loftledger_settings INTERFACE ${PROJECT_SOURCE_DIR})
if(LOFTLEDGER_SANITIZE)
  target_compile_options(loftledger_settings INTERFACE
    -fsanitize=${LOFTLEDGER_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer
    # GCC takes instrumented code of <regex> for reads of what was never written.
    $<$<CXX_COMPILER_ID:GNU>:-Wno-maybe-uninitialized>)
  target_link_options(loftledger_settings INTERFACE -fsanitize=${LOFTLEDGER_SANITIZE})
endif()
if(LOFTLEDGER_FUZZ)
  # So that the fuzzer sees which way an input takes through the library.
  target_compile_options(loftledger_settings INTERFACE -fsanitize=fuzzer-no-link)
endif()

# loftledger_sources(out folder): the sources of a folder. Everywhere here a folder is one target,
# and all sources in it belong to it; only tests/unit, tests/fuzz and tests/bench hold a program a
# file.
function(loftledger_sources out folder)
  file(GLOB found CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/${folder}/*.cpp)
  set(${out} ${found} PARENT_SCOPE)
endfunction()

# loftledger_library(name FOLDER folder NEEDS library...): one target a folder of engine/; what it
# may include is what it links (tests/contract/layering_test.cpp reads the include lines as well).
function(loftledger_library name)
  cmake_parse_arguments(ARG "" "FOLDER" "NEEDS" ${ARGN})
  if(NOT ARG_FOLDER)
    set(ARG_FOLDER ${name})
  endif()
  loftledger_sources(sources ${ARG_FOLDER})
  list(TRANSFORM ARG_NEEDS PREPEND loftledger_)
  add_library(loftledger_${name} STATIC ${sources})
  target_link_libraries(loftledger_${name} PUBLIC ${ARG_NEEDS} PRIVATE loftledger_settings)
  target_include_directories(loftledger_${name} PUBLIC ${PROJECT_SOURCE_DIR})
endfunction()
