# embed_page(LAYER): the page's files become part of the program, found through page_files() of serve/page_files.h. They are
# looked for anew at every build, because tools/build_web makes them at its own time; without them a placeholder stands in.
function(embed_page LAYER)
  set(generated ${CMAKE_BINARY_DIR}/embedded_page.cpp)
  add_custom_target(embed_page_files
    COMMAND ${CMAKE_COMMAND} -DROOT=${CMAKE_SOURCE_DIR} -DOUTPUT=${generated}
            -P ${CMAKE_SOURCE_DIR}/cmake/write_page.cmake
    BYPRODUCTS ${generated}
    VERBATIM)
  target_sources(lg_${LAYER} PRIVATE ${generated})
  set_source_files_properties(${generated} PROPERTIES GENERATED TRUE)
  add_dependencies(lg_${LAYER} embed_page_files)
endfunction()
