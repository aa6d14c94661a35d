# Where everything goes: the program finds its data in ../share/verdigrid and its HEIC helper in
# ../libexec/verdigrid. `cpack -G DEB` makes a Debian package of the same.
include(GNUInstallDirs)

install(TARGETS verdigrid RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(TARGETS verdigrid_heic RUNTIME DESTINATION ${CMAKE_INSTALL_LIBEXECDIR}/verdigrid)
install(DIRECTORY shaders DESTINATION ${CMAKE_INSTALL_DATADIR}/verdigrid)
install(DIRECTORY assets/schema assets/report DESTINATION ${CMAKE_INSTALL_DATADIR}/verdigrid/assets)
install(FILES models/residue.json models/residue.onnx models/README.md
        DESTINATION ${CMAKE_INSTALL_DATADIR}/verdigrid/models)
install(FILES README.md DEVELOPERS.md LICENSE LICENSES.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
# What the README shows and links.
install(DIRECTORY assets/pictures assets/schema DESTINATION ${CMAKE_INSTALL_DOCDIR}/assets)
install(FILES assets/install/verdigrid.desktop DESTINATION ${CMAKE_INSTALL_DATADIR}/applications)
install(FILES assets/install/verdigrid.svg
        DESTINATION ${CMAKE_INSTALL_DATADIR}/icons/hicolor/scalable/apps)

# Manual page and completions, said by the program itself.
set(described ${CMAKE_BINARY_DIR}/described)
foreach(kind bash zsh fish man)
  add_custom_command(OUTPUT ${described}/${kind}
    COMMAND ${CMAKE_COMMAND} -E make_directory ${described}
    COMMAND verdigrid describe ${kind} > ${described}/${kind}
    DEPENDS verdigrid VERBATIM)
  list(APPEND described_files ${described}/${kind})
endforeach()
add_custom_target(described ALL DEPENDS ${described_files})
install(FILES ${described}/man DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 RENAME verdigrid.1)
install(FILES ${described}/bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions
        RENAME verdigrid)
install(FILES ${described}/zsh DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions
        RENAME _verdigrid)
install(FILES ${described}/fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d
        RENAME verdigrid.fish)

set(CPACK_PACKAGE_NAME verdigrid)
set(CPACK_PACKAGE_VENDOR "Verdigrid")
set(CPACK_PACKAGE_CONTACT "Verdigrid maintainers <maintainers@verdigrid.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "${PROJECT_DESCRIPTION}")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_GENERATOR DEB)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "fonts-dejavu-core, fonts-inter")
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_STRIP_FILES ON)
include(CPack)
