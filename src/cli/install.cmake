# What `cmake --install` puts where, and the Debian package that `cpack` makes of it.
include(GNUInstallDirs)
set(doc_folder "${CMAKE_INSTALL_DATADIR}/doc/beamtally")
install(TARGETS beamtally RUNTIME DESTINATION "${CMAKE_INSTALL_BINDIR}")
install(FILES "${manual_page}" DESTINATION "${CMAKE_INSTALL_MANDIR}/man1")
install(FILES src/cli/beamtally.bash RENAME beamtally
        DESTINATION "${CMAKE_INSTALL_DATADIR}/bash-completion/completions")
install(FILES LICENSE RENAME copyright DESTINATION "${doc_folder}")
install(FILES README.md docs/method.md DESTINATION "${doc_folder}")
install(FILES sampledata/settings.ini sampledata/suite-south.map.ini
        DESTINATION "${doc_folder}/examples")

# The program is linked to its libraries, which dpkg-shlibdeps finds; the chart device is loaded as
# it runs and the typeface is read from its folder, so these two are named.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME beamtally)
set(CPACK_PACKAGE_CONTACT "Beamtally maintainers <maintainers@beamtally.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "calibration history of a 193 nm excimer laser")
set(CPACK_PACKAGE_DESCRIPTION
    "Reads the calibration logs of an eye clinic's excimer laser into one ledger, and draws control
charts, monthly reports and evidence folders from it. A chart is no substitute for the laser's own
interlocks, the manufacturer's instructions or the responsible clinician.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "plplot-driver-cairo, fonts-inter")
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
include(CPack)
