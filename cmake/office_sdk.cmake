# The office suite's SDK: its headers, libraries, type descriptions and the two tools that make
# headers from them. Sets LOFTLEDGER_WITH_ADDIN, OFFICE_* and gives loftledger_uno_headers().
set(LOFTLEDGER_OFFICE "/usr/lib/libreoffice" CACHE PATH "Where the office suite is installed")
set(LOFTLEDGER_WITH_ADDIN FALSE)
if(NOT LOFTLEDGER_ADDIN)
  return()
endif()

# Looked for at each configuring, so that another LOFTLEDGER_OFFICE counts at once.
set(office_program ${LOFTLEDGER_OFFICE}/program)
set(office_sdk ${LOFTLEDGER_OFFICE}/sdk)
set(here NO_DEFAULT_PATH NO_CACHE)
find_program(OFFICE_UNOIDL_WRITE unoidl-write PATHS ${office_sdk}/bin ${here})
find_program(OFFICE_CPPUMAKER cppumaker PATHS ${office_sdk}/bin ${here})
find_program(OFFICE_SOFFICE soffice PATHS ${office_program} ${here})
find_program(OFFICE_UNOPKG unopkg PATHS ${office_program} ${here})
find_path(OFFICE_INCLUDE cppuhelper/implbase2.hxx PATHS ${office_sdk}/include ${here})
find_file(OFFICE_UNO_SETTINGS unorc PATHS ${office_program} ${here})
find_file(OFFICE_TYPES types.rdb PATHS ${office_program} ${here})
find_file(OFFICE_API_TYPES offapi.rdb PATHS ${office_program}/types ${here})
foreach(part cppu cppuhelpergcc3 sal salhelpergcc3)
  find_library(OFFICE_LIB_${part} uno_${part} PATHS ${office_sdk}/lib ${here})
endforeach()

foreach(part OFFICE_UNOIDL_WRITE OFFICE_CPPUMAKER OFFICE_SOFFICE OFFICE_UNOPKG OFFICE_INCLUDE
        OFFICE_UNO_SETTINGS OFFICE_TYPES OFFICE_API_TYPES OFFICE_LIB_cppu
        OFFICE_LIB_cppuhelpergcc3 OFFICE_LIB_sal OFFICE_LIB_salhelpergcc3)
  if(NOT ${part})
    set(how
      "${part} was not found under ${LOFTLEDGER_OFFICE}.\n"
      "   On Debian: apt-get install --no-install-recommends libreoffice-calc libreoffice-dev\n"
      "   Elsewhere: configure with -DLOFTLEDGER_OFFICE=<folder that holds program/ and sdk/>")
    if(LOFTLEDGER_ADDIN STREQUAL "AUTO")
      message(STATUS "Left out: the extension and the tests in the office. They need the office "
        "suite with its SDK; " ${how})
      return()
    endif()
    message(FATAL_ERROR "The extension needs the office suite with its SDK; " ${how} "\n"
      "   Without the extension: configure with -DLOFTLEDGER_ADDIN=OFF")
  endif()
endforeach()
set(LOFTLEDGER_WITH_ADDIN TRUE)

add_library(loftledger_uno INTERFACE)
target_include_directories(loftledger_uno SYSTEM INTERFACE ${OFFICE_INCLUDE})
target_compile_definitions(loftledger_uno INTERFACE CPPU_ENV=gcc3 LINUX UNX)
target_link_libraries(loftledger_uno INTERFACE ${OFFICE_LIB_cppu} ${OFFICE_LIB_cppuhelpergcc3}
  ${OFFICE_LIB_sal} ${OFFICE_LIB_salhelpergcc3})

# loftledger_uno_headers(target TYPES name... [REGISTRY file]): an interface library with the
# headers of those types and of all that they need. REGISTRY adds type descriptions of our own.
function(loftledger_uno_headers target)
  cmake_parse_arguments(ARG "" "REGISTRY" "TYPES" ${ARGN})
  set(folder ${CMAKE_CURRENT_BINARY_DIR}/${target})
  set(stamp ${CMAKE_CURRENT_BINARY_DIR}/${target}.stamp)
  set(wanted ${ARG_TYPES})
  list(TRANSFORM wanted PREPEND -T)
  add_custom_command(OUTPUT ${stamp}
    COMMAND ${OFFICE_CPPUMAKER} -Gc -O${folder} ${wanted} ${ARG_REGISTRY} ${OFFICE_TYPES}
            ${OFFICE_API_TYPES}
    COMMAND ${CMAKE_COMMAND} -E touch ${stamp}
    DEPENDS ${ARG_REGISTRY} ${CMAKE_CURRENT_LIST_FILE}
    COMMENT "Making UNO headers for ${target}"
    VERBATIM)
  add_custom_target(${target}_files DEPENDS ${stamp})
  add_library(${target} INTERFACE)
  add_dependencies(${target} ${target}_files)
  target_include_directories(${target} SYSTEM INTERFACE ${folder})
  target_link_libraries(${target} INTERFACE loftledger_uno)
endfunction()
