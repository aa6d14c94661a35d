# One function per kind of target, so that every folder's CMakeLists is a list of sources and of
# what it links. Warnings and sanitizers are set here and nowhere else.

function(verdigrid_flags target)
  target_compile_features(${target} PUBLIC cxx_std_20)
  target_compile_options(${target} PRIVATE
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor
    # Options structs are filled in part on purpose: the rest keeps its defaults.
    -Wno-missing-field-initializers)
  if(VERDIGRID_WARNINGS_AS_ERRORS)
    target_compile_options(${target} PRIVATE -Werror)
  endif()
  if(VERDIGRID_SANITIZE)
    # What a sanitizer finds ends the program, so that no test passes over it.
    target_compile_options(${target} PRIVATE -fsanitize=${VERDIGRID_SANITIZE}
                           -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=${VERDIGRID_SANITIZE})
  endif()
endfunction()

# verdigrid_folder(NAME SOURCES a.cpp ... [PUBLIC libs] [PRIVATE libs])
# makes the static library verdigrid_NAME whose headers are included as "NAME/header.h".
function(verdigrid_folder name)
  cmake_parse_arguments(ARG "" "" "SOURCES;PUBLIC;PRIVATE" ${ARGN})
  add_library(verdigrid_${name} STATIC ${ARG_SOURCES})
  target_include_directories(verdigrid_${name} PUBLIC ${PROJECT_SOURCE_DIR}/src)
  target_link_libraries(verdigrid_${name} PUBLIC ${ARG_PUBLIC} PRIVATE ${ARG_PRIVATE})
  verdigrid_flags(verdigrid_${name})
endfunction()
