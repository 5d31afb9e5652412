# The installed program does what the built one does, and what belongs to it lies beside it.
cmake_policy(SET CMP0057 NEW)  # IN_LIST

# answer(out program word...): what the program prints; anything but success is an error.
function(answer out program)
  execute_process(COMMAND "${program}" ${ARGN}
    OUTPUT_VARIABLE printed ERROR_VARIABLE complaint RESULT_VARIABLE code)
  if(NOT code EQUAL 0)
    message(FATAL_ERROR "${program} ${ARGN} ended with ${code}: ${complaint}")
  endif()
  set(${out} "${printed}" PARENT_SCOPE)
endfunction()

set(program "${FOLDER}/bin/loftledger")
set(book "${SOURCE}/examples/quillfeather-store-plan.fods")
answer(here "${program}" calc "${book}")
answer(there "${BUILT}" calc "${book}")
string(LENGTH "${here}" length)
if(NOT here STREQUAL there OR length LESS 1000)
  message(FATAL_ERROR "The installed program calculates otherwise than the built one:\n${here}")
endif()

# 10 kg less 4 % in bodies of 160 g: 9.6 kg / 0.16 kg.
answer(bodies "${program}" eval "BODIESPERCASE(\"10 kg\"\;\"160 g\"\;4%)")
if(NOT bodies STREQUAL "60\n")
  message(FATAL_ERROR "BODIESPERCASE gives ${bodies}")
endif()
answer(version "${program}" --version)
string(FIND "${version}" "${VERSION}" at)
if(at EQUAL -1)
  message(FATAL_ERROR "--version prints ${version}")
endif()

# An installed template calculates, and into a file beside it.
set(templates "${FOLDER}/share/loftledger/templates")
file(GLOB starters "${SOURCE}/templates/*.fods")
foreach(starter ${starters})
  cmake_path(GET starter STEM LAST_ONLY name)
  if(NOT EXISTS "${templates}/${name}.ots")
    message(FATAL_ERROR "${name}.ots is not installed")
  endif()
endforeach()
answer(planned "${program}" calc "${templates}/store-plan.ots" -o "${FOLDER}/a new plan.ods")
if(NOT EXISTS "${FOLDER}/a new plan.ods")
  message(FATAL_ERROR "No plan was written")
endif()

set(files share/doc/loftledger/LICENSE share/doc/loftledger/README.md
  share/doc/loftledger/planning/FUNCTIONS.md share/doc/loftledger/standard/FUNCTIONS.md)
if(EXTENSION)
  list(APPEND files share/loftledger/loftledger.oxt)
endif()
foreach(file ${files})
  if(NOT EXISTS "${FOLDER}/${file}")
    message(FATAL_ERROR "${file} is not installed")
  endif()
endforeach()
