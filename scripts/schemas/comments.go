package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
)

// commentsOf gathers the comments on the types of a folder and on their fields,
// by package.Type and package.Type.Field.
func commentsOf(folder, pkg string, into map[string]string) error {
	files, err := os.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), filepath.Join(folder, f.Name()), nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, d := range tree.Decls {
			if g, ok := d.(*ast.GenDecl); ok {
				for _, s := range g.Specs {
					if t, ok := s.(*ast.TypeSpec); ok {
						typeComments(g, t, pkg, into)
					}
				}
			}
		}
	}
	return nil
}

func typeComments(g *ast.GenDecl, t *ast.TypeSpec, pkg string, into map[string]string) {
	doc := t.Doc
	if doc == nil && len(g.Specs) == 1 {
		doc = g.Doc
	}
	note(into, pkg+"."+t.Name.Name, doc)
	s, ok := t.Type.(*ast.StructType)
	if !ok {
		return
	}
	for _, f := range s.Fields.List {
		doc := f.Comment
		if doc == nil {
			doc = f.Doc
		}
		for _, name := range f.Names {
			note(into, pkg+"."+t.Name.Name+"."+name.Name, doc)
		}
	}
}

func note(into map[string]string, key string, doc *ast.CommentGroup) {
	if text := strings.Join(strings.Fields(doc.Text()), " "); text != "" {
		into[key] = text
	}
}
