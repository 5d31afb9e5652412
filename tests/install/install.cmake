# Installs into FOLDER anew.
file(REMOVE_RECURSE "${FOLDER}")
execute_process(COMMAND ${CMAKE_COMMAND} --install "${BUILD}" --prefix "${FOLDER}"
  COMMAND_ERROR_IS_FATAL ANY)
