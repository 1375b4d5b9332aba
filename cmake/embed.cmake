# embed_data(LAYER FOLDER): every csv and json file below FOLDER becomes part of the program, found by its name relative to FOLDER through
# embedded_file() of standards/embedded.h. The program needs no files beside itself.
function(embed_data LAYER FOLDER)
  file(GLOB_RECURSE files CONFIGURE_DEPENDS RELATIVE ${FOLDER} ${FOLDER}/*.csv ${FOLDER}/*.json)
  list(SORT files)
  set(inputs ${files})
  list(TRANSFORM inputs PREPEND ${FOLDER}/)
  set(generated ${CMAKE_BINARY_DIR}/embedded_data.cpp)
  add_custom_command(
    OUTPUT ${generated}
    COMMAND ${CMAKE_COMMAND} -DFOLDER=${FOLDER} "-DFILES=${files}" -DOUTPUT=${generated}
            -P ${CMAKE_SOURCE_DIR}/cmake/write_embedded.cmake
    DEPENDS ${inputs} ${CMAKE_SOURCE_DIR}/cmake/write_embedded.cmake
    VERBATIM)
  # Clang counts a literal against the least length that the standard asks of compilers; both used here take more.
  set_source_files_properties(${generated} PROPERTIES COMPILE_OPTIONS -Wno-overlength-strings)
  target_sources(lg_${LAYER} PRIVATE ${generated})
endfunction()
